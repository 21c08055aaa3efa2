"""Every page by its address."""

from django.urls import path

from provand.workspace.views import account, day, plan

urlpatterns = [
    path("", day.today, name="day"),
    path("find", day.found, name="find"),
    path("tokens.css", account.tokens_css, name="tokens"),
    path("start", account.start, name="start"),
    path("enter", account.enter, name="enter"),
    path("leave", account.leave, name="leave"),
    path("practice", account.practice, name="practice"),
    path("files/<uuid:key>/plan", plan.page, name="plan"),
    path("files/<uuid:key>/figure/<str:figure_id>", plan.figure, name="plan_figure"),
]
