"""Every page by its address."""

from django.urls import path

from provand.workspace.views import (
    account,
    athlete,
    between,
    day,
    issue,
    note,
    plan,
    plan_change,
    race,
    screening,
)

urlpatterns = [
    path("", day.today, name="day"),
    path("find", day.found, name="find"),
    path("tokens.css", account.tokens_css, name="tokens"),
    path("start", account.start, name="start"),
    path("enter", account.enter, name="enter"),
    path("leave", account.leave, name="leave"),
    path("demo", account.demo, name="demo"),
    path("practice", account.practice, name="practice"),
    path("files/<uuid:key>/issue", issue.issue, name="issue"),
    path("files/<uuid:key>/draft/<str:name>", issue.preview, name="issue_draft"),
    path("files/<uuid:key>/call", note.call, name="plan_call"),
    path("issues/<str:code>", issue.issued, name="issued"),
    path("issues/<str:code>/withdraw", issue.withdrawn, name="issue_withdrawn"),
    path("issues/<str:code>/<str:name>", issue.handed_out, name="issue_file"),
    path("athletes/<int:pk>/notes", note.notes, name="notes"),
    path("athletes/<int:pk>/notes/add", note.add, name="note_added"),
    path("files/<uuid:key>/plan", plan.page, name="plan"),
    path("files/<uuid:key>/plan/change", plan_change.change, name="plan_change"),
    path("files/<uuid:key>/plan/undo", plan_change.undo, name="plan_undo"),
    path("files/<uuid:key>/plan/redo", plan_change.redo, name="plan_redo"),
    path("files/<uuid:key>/plan/stop/<int:number>", plan_change.stop, name="plan_stop"),
    path("files/<uuid:key>/between/<int:n>/<int:m>", between.page, name="between"),
    path("files/<uuid:key>/figure/<str:figure_id>", plan.figure, name="plan_figure"),
    path("athletes", athlete.athletes, name="athletes"),
    path("athletes/new", athlete.athlete_new, name="athlete_new"),
    path("athletes/<int:pk>", athlete.athlete, name="athlete"),
    path("athletes/<int:pk>/race", athlete.athlete_race, name="athlete_race"),
    path("files/<uuid:key>", race.file, name="file"),
    path("files/<uuid:key>/screening", screening.screening, name="screening"),
]
