"""Health answers at the terminal: asked, read from a file, written about, replied to, released, consented."""

from __future__ import annotations

import io
import json
import re
from datetime import date
from pathlib import Path

import pypdf
import pytest
from ended import Command, Ended

from provand.case.door import read_case, read_health
from provand.case.health import Health
from provand.safety.flags import flags

DAY = "2026-11-25"
NAME = "Alex Sample"
ADULT = [flag for flag in flags() if flag.id != "under_18"]
AFTER_NO = [flag for flag in ADULT if not flag.asked_after]


@pytest.fixture
def starter(provand: Command, tmp_path: Path) -> Path:
    case = tmp_path / "my-case.toml"
    assert provand("new", str(case)).status == 0
    return case


@pytest.fixture
def unasked(starter: Path) -> Path:
    starter.with_name("my-case.health.toml").unlink()
    return starter


def health_of(case: Path) -> Health:
    found = read_health(case, of=read_case(case, as_of=date.fromisoformat(DAY)))
    assert found is not None
    return found


def said_yes(case: Path, question: str) -> Path:
    """Turn an answer of the starter into a yes."""
    path = case.with_name("my-case.health.toml")
    text, count = re.subn(rf'("{question}"\nreply = )"no"', r'\1"yes"', path.read_text())
    assert count == 1
    path.write_text(text)
    return case


def screened(provand: Command, case: Path, typed: str, monkeypatch: pytest.MonkeyPatch, *words: str) -> Ended:
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    return provand("screen", str(case), "--as-of", DAY, *words)


# Asking.


def test_every_question_is_asked_in_turn_and_each_answer_is_kept(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = screened(provand, unasked, "\n\n" + "n\n" * 60, monkeypatch)
    assert done.status == 0, done.err
    assert "screening: clear" in done.out
    asked = re.findall(r"Question (\d+) of (\d+)", done.out)
    assert [int(number) for number, _ in asked] == list(range(1, len(AFTER_NO) + 1))
    assert asked[-1] == (str(len(AFTER_NO)), str(len(AFTER_NO)))
    health = health_of(unasked)
    assert [answer.question for answer in health.answers] == [flag.id for flag in AFTER_NO]
    assert {(answer.by, str(answer.on)) for answer in health.answers} == {(NAME, DAY)}
    assert [choice.portions_only for choice in health.portions] == [False]
    assert provand("plan", str(unasked), "--out", str(unasked.parent / "p"), "--as-of", DAY).status == 0


def test_a_stop_saves_what_was_answered_and_the_next_sitting_goes_on_there(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = screened(provand, unasked, "\n\nn\nn\nn\ns\n", monkeypatch)
    assert first.status == 3
    assert len(health_of(unasked).answers) == 3
    assert "questions have no answer" in first.out
    second = screened(provand, unasked, "n\n", monkeypatch, "--by", NAME)
    assert f"Question 1 of {len(AFTER_NO) - 3}" in second.out
    assert len(health_of(unasked).answers) == 4


@pytest.mark.parametrize("words", [(), ("--by", NAME)])
def test_nobody_to_ask_is_an_error_and_makes_no_file(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    refused = screened(provand, unasked, "", monkeypatch, *words)
    assert refused.status == 2
    assert "--from FILE" in refused.err
    assert not unasked.with_name("my-case.health.toml").exists()


def test_why_is_told_and_back_asks_again(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = screened(provand, unasked, "w\nn\nn\nb\nn\ns\n", monkeypatch, "--by", NAME)
    assert AFTER_NO[0].why in told.out
    assert told.out.count(AFTER_NO[1].asks) == 2
    assert told.out.count("is needed here") == 0
    assert [answer.question for answer in health_of(unasked).answers] == [flag.id for flag in AFTER_NO[:2]]


def test_a_yes_that_holds_is_asked_twice(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    slip = screened(provand, unasked, "n\ny\nn\nn\ns\n", monkeypatch, "--by", NAME)
    assert "a later no does not take it back" in slip.out
    assert [answer.reply for answer in health_of(unasked).answers] == ["no", "no"]


def test_follow_ups_medicines_and_portions_come_where_an_answer_asks_for_them(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = "y\nramipril 5 mg\n2020-01-31\n\n" + "n\n" * 3 + "y\ny\ny\nn\n" + "n\n" * 60
    told = screened(provand, unasked, typed, monkeypatch, "--by", NAME)
    health = health_of(unasked)
    assert [(one.name, str(one.since)) for one in health.medicines] == [("ramipril 5 mg", "2020-01-31")]
    asked = [answer.question for answer in health.answers]
    assert [one for one in asked if one.startswith("blood_pressure_")] == [
        "blood_pressure_treated", "blood_pressure_steady", "blood_pressure_symptoms",
    ]  # fmt: skip
    assert "lithium" in asked
    assert "screening: withheld" in told.out


def test_only_what_is_due_is_asked_and_all_on_request(
    provand: Command, starter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    due = screened(provand, starter, "n\n" * 60, monkeypatch, "--by", NAME)
    assert due.status == 0
    assert "Question" not in due.out
    everything = screened(provand, starter, "n\n" * 60, monkeypatch, "--by", NAME, "--all")
    assert f"Question 1 of {len(AFTER_NO)}" in everything.out


def test_race_week_asks_again(provand: Command, starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = starter.read_text()
    gun = re.search(r"gun = (\S+)T", text)
    assert gun
    starter.write_text(text.replace(gun[1], "2026-12-02"))
    asked = screened(provand, starter, "n\n" * 60, monkeypatch, "--by", NAME)
    again = [flag for flag in flags() if flag.race_week]
    assert f"Question 1 of {len(again)}" in asked.out
    assert all((flag.asks_again or flag.asks) in asked.out for flag in again)
    assert asked.status == 0


@pytest.mark.parametrize(
    ("words", "code"), [(["--by", "Otto Other"], "own name"), (["--on", "2026-12-24"], "after")]
)
def test_another_name_and_a_day_to_come_are_refused(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], code: str
) -> None:
    words = words if "--by" in words else [*words, "--by", NAME]
    refused = screened(provand, unasked, "n\n", monkeypatch, *words)
    assert refused.status == 2
    assert code in refused.err
    assert not unasked.with_name("my-case.health.toml").exists()


def test_what_was_answered_is_kept_when_the_asking_is_interrupted(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = iter(["n", "n"])

    def interrupted() -> str:
        try:
            return next(typed)
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr("builtins.input", interrupted)
    assert provand("screen", str(unasked), "--as-of", DAY, "--by", NAME).status == 130
    assert len(health_of(unasked).answers) == 2


def test_json_is_alone_on_standard_output(
    provand: Command, unasked: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = screened(provand, unasked, "n\ns\n", monkeypatch, "--by", NAME, "--json")
    data = json.loads(told.out)
    assert (data["added"], data["outcome"]) == (1, "hold")


# From a file.


def answers_file(folder: Path, **changed: str) -> Path:
    said = {"athlete": NAME, "born": "1988-04-17", "by": NAME, "on": DAY, "question": "heart"} | changed
    path = folder / "answers.toml"
    path.write_text(
        f"""athlete = "{said["athlete"]}"
born = {said["born"]}
answers = [
    {{ question = "{said["question"]}", reply = "no", by = "{said["by"]}", on = {said["on"]} }},
]
scores = [{{ questionnaire = "Invented Scale", value = 12, cut_off = 20, by = "Pia", on = {said["on"]} }}]
sodium_tests = [{{ serum_sodium = "139 mmol/l", by = "Invented Laboratory", on = 2026-11-20 }}]
"""
    )
    return path


def test_entries_of_a_file_are_added(provand: Command, unasked: Path) -> None:
    source = answers_file(unasked.parent)
    done = provand("screen", str(unasked), "--from", str(source), "--as-of", DAY, "--json")
    assert json.loads(done.out)["added"] == 3
    health = health_of(unasked)
    assert [one.question for one in health.answers] == ["heart"]
    assert (health.scores[0].value, health.sodium_tests[0].serum_sodium_mmol_per_l) == (12, 139)
    again = provand("screen", str(unasked), "--from", str(source), "--as-of", DAY, "--json")
    assert json.loads(again.out)["added"] == 0


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"athlete": "Otto Other"}, "bound to Otto Other"),
        ({"born": "1990-01-01"}, "birth dates differ"),
        ({"by": "Otto Other"}, "signed by Otto Other"),
        ({"by": ""}, "'by' is missing"),
        ({"on": "2026-12-24"}, "is after 2026-11-25"),
        ({"question": "hart"}, "heart"),
    ],
)
def test_a_file_of_another_person_or_with_a_fault_changes_nothing(
    provand: Command, starter: Path, changed: dict[str, str], told: str
) -> None:
    health = starter.with_name("my-case.health.toml")
    before = health.read_bytes()
    source = answers_file(starter.parent, **changed)
    refused = provand("screen", str(starter), "--from", str(source), "--as-of", DAY)
    assert refused.status == 2
    assert told in refused.err
    assert health.read_bytes() == before


def test_all_faults_of_a_file_are_told_at_once(provand: Command, starter: Path) -> None:
    source = answers_file(starter.parent, by="Otto Other", on="2026-12-24", question="hart")
    refused = provand("screen", str(starter), "--from", str(source), "--as-of", DAY, "--json")
    assert len(json.loads(refused.out)["findings"]) == 4


# Letters and replies.


def letter(provand: Command, case: Path, *words: str, out: str = "letter.pdf") -> Ended:
    to = ("--to", "Dr Ada Invented", "--out", str(case.parent / out))
    return provand("letter", str(case), *to, "--as-of", DAY, *words)


def text_in(path: Path) -> str:
    return " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages)


def test_a_letter_asks_about_what_holds_and_is_recorded(provand: Command, starter: Path) -> None:
    said_yes(starter, "heart")
    said_yes(starter, "kidney")
    assert letter(provand, starter).status == 0
    told = text_in(starter.parent / "letter.pdf")
    for word in ("Dr Ada Invented", NAME, "17 April 1988", "the heart", "the kidneys", "cleared with limits"):
        assert word in " ".join(told.split()), word
    assert health_of(starter).letters[0].about == ("heart", "kidney")
    again = letter(provand, starter, out="second.pdf")
    assert (again.status, (starter.parent / "second.pdf").exists()) == (2, False)


def test_a_letter_never_overwrites_and_a_refused_one_records_nothing(provand: Command, starter: Path) -> None:
    said_yes(starter, "heart")
    (starter.parent / "letter.pdf").write_text("mine")
    assert letter(provand, starter).status == 2
    assert letter(provand, starter, "--about", "hart", out="b.pdf").status == 2
    assert letter(provand, starter, "--paper", "a3", out="b.pdf").status == 2
    assert (starter.parent / "letter.pdf").read_text() == "mine"
    assert health_of(starter).letters == ()
    assert not (starter.parent / "b.pdf").exists()


def reply(
    provand: Command, case: Path, *words: str, about: str = "heart", by: str = "Dr Ada Invented"
) -> Ended:
    return provand("reply", str(case), "--about", about, "--by", by, "--as-of", DAY, *words)


def test_a_reply_after_its_letter_lifts_the_hold_and_its_limits_are_withheld(
    provand: Command, starter: Path
) -> None:
    said_yes(starter, "heart")
    assert provand("check", str(starter), "--as-of", DAY).status == 3
    letter(provand, starter)
    done = reply(provand, starter, "--says", "cleared with limits", "--limits", "caffeine,sodium")
    assert done.status == 0, done.err
    assert "screening: withheld" in done.out
    assert provand("check", str(starter), "--as-of", DAY).status == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--says", "cleared", "--on", "2026-11-24"], "the letter about heart was sent on 2026-11-25"),
        (["--says", "cleared", "--on", "2026-12-24"], "after 2026-11-25"),
        (["--says", "perhaps"], "cleared with limits"),
        (["--says", "cleared with limits"], "names none"),
        (["--says", "cleared", "--limits", "caffeine"], "limits"),
        (["--says", "cleared with limits", "--limits", "cafeine"], "did you mean 'caffeine'"),
        (["--says", "cleared", "--until", "2026-11-01"], "before the day of the reply"),
    ],
)
def test_a_reply_that_cannot_be_is_refused_and_not_recorded(
    provand: Command, starter: Path, words: list[str], told: str
) -> None:
    letter(provand, said_yes(starter, "heart"))
    refused = reply(provand, starter, *words)
    assert refused.status == 2
    assert told in refused.err
    assert health_of(starter).replies == ()


def test_a_refer_takes_no_reply_without_a_letter(provand: Command, starter: Path) -> None:
    refused = reply(provand, said_yes(starter, "heart"), "--says", "cleared")
    assert refused.status == 2
    assert "provand letter" in refused.err
    assert reply(provand, starter, "--says", "cleared", about="hart").status == 2


# Releases and consents.


def release(
    provand: Command, case: Path, *words: str, about: str = "injury", why: str = "a blister"
) -> Ended:
    role = () if "--role" in words else ("--role", "practitioner")
    return provand("release", str(case), "--about", about, "--why", why, "--as-of", DAY, *words, *role)


def test_a_release_lifts_a_hold_and_is_kept_with_name_and_reason(provand: Command, starter: Path) -> None:
    said_yes(starter, "injury")
    done = release(provand, starter, "--by", "Pia Practitioner")
    assert done.status == 0
    assert "released by hand by Pia Practitioner" in done.out
    kept = health_of(starter).releases
    assert [(one.about, one.by, one.why) for one in kept] == [("injury", "Pia Practitioner", "a blister")]


@pytest.mark.parametrize(
    ("question", "words", "told"),
    [
        ("injury", ["--by", ""], "--by"),
        ("injury", ["--by", "   "], "--by"),
        ("injury", ["--by", "Pia", "--why", ""], "--why"),
        ("injury", ["--by", "Pia", "--role", "boss"], "practitioner, assistant"),
        ("injury", ["--by", "Ash", "--role", "assistant"], "an assistant overrides nothing"),
        ("injury", ["--by", "Pia", "--on", "2026-12-24"], "after 2026-11-25"),
        ("heart", ["--by", "Pia"], "only a clinician can say"),
        ("pregnancy", ["--by", "Pia"], "a child too"),
        ("kidney", ["--by", "Pia", "--about", "injury"], "nothing holds about injury"),
    ],
)
def test_a_release_that_lifts_nothing_is_refused_and_says_why(
    provand: Command, starter: Path, question: str, words: list[str], told: str
) -> None:
    said_yes(starter, question)
    refused = release(provand, starter, *words, about=question)
    assert refused.status == 2
    assert told in refused.err
    assert health_of(starter).releases == ()


def test_a_release_without_a_name_a_role_or_a_reason_is_no_command(provand: Command, starter: Path) -> None:
    said_yes(starter, "injury")
    whole = {"--by": "Pia", "--why": "a blister", "--role": "practitioner"}
    for missing in whole:
        words = [word for key, value in whole.items() if key != missing for word in (key, value)]
        assert provand("release", str(starter), "--about", "injury", *words, "--as-of", DAY).status == 2
    assert health_of(starter).releases == ()


def test_a_minor_is_planned_for_after_two_consents(provand: Command, starter: Path) -> None:
    for path in (starter, starter.with_name("my-case.health.toml")):
        path.write_text(path.read_text().replace("1988-04-17", "2009-04-17"))
    consent = ("assent", str(starter), "--as-of", DAY, "--who")
    assert provand("check", str(starter), "--as-of", DAY).status == 3
    assert "not consented" in provand(*consent, "guardian", "--by", "Gil Guardian").out
    own = provand(*consent, "athlete", "--by", "Gil Guardian")
    assert (own.status, "own name" in own.err) == (2, True)
    assert provand(*consent, "guardian", "--by", NAME).status == 2
    assert "screening: withheld" in provand(*consent, "athlete", "--by", NAME).out
    assert provand("check", str(starter), "--as-of", DAY).status == 0


# Issued plans.


def test_an_answer_that_holds_withdraws_the_plan_that_was_issued(
    provand: Command, starter: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    to = ("--to", f"{NAME} (athlete)", "--pieces", "strip,calendar", "--out", str(starter.parent / "out"))
    issued = provand("issue", str(starter), *to, "--as-of", DAY)
    assert issued.status == 0, issued.err
    told = screened(provand, starter, "n\n" * 5 + "y\ny\n" + "s\n", monkeypatch, "--by", NAME, "--all")
    assert told.status == 3
    assert "withdrawn" in told.out
    assert "to be told" in told.out
    withdrawn = told.out.split("withdrawn:")[1].splitlines()[0]
    assert not [flag.title for flag in flags() if flag.title in withdrawn]
