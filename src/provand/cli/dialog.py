"""The questions at the terminal: one at a time, each answer saved at once, back and stop at any time."""

from __future__ import annotations

from datetime import date
from typing import TextIO

from provand.case.health import Answer, Medicine, PortionsChoice, Reply
from provand.case.health_file import Entry, HealthFile
from provand.case.records import same_name
from provand.finding import BadInput, find
from provand.safety.asking import Question, medicines_due, names_due, questions_due
from provand.safety.review import Review
from provand.safety.screening import review_of

REPLIES: dict[str, Reply] = {
    "y": "yes", "yes": "yes", "n": "no", "no": "no", "p": "prefer not to say",
    "prefer not to say": "prefer not to say",
}  # fmt: skip
KEYS = "[y] yes  [n] no  [p] prefer not to say  [w] why is this asked  [b] back  [s] stop and save"
PORTIONS = "Would you rather see portions only: no weight and no energy on anything? (y or n)"


class _Stopped(Exception):  # noqa: N818 - no error: the person asked for it, or the input ended
    """The person stops here; all that was answered is saved."""


class Dialog:
    """One sitting of questions for one health file."""

    def __init__(self, file: HealthFile, *, as_of: date, to: TextIO) -> None:
        """`to` is where questions are written."""
        self.file = file
        self.to = to
        self.as_of = as_of
        self.added = 0
        self.heard = False
        self.by = ""
        self.on = as_of

    def run(self, *, by: str | None, on: date, everything: bool) -> None:
        """Ask all that is due; a stop, or the end of the input, ends the asking and loses nothing.

        BadInput where the input is at its end before the first word: there is no terminal.
        """
        try:
            self._who(by, on)
            self._questions(everything=everything)
            self._portions(everything=everything)
            self._say("That was all that is to be asked now.")
        except _Stopped:
            self._say("Stopped; what was answered is saved.")

    def _review(self) -> Review:
        return review_of(self.file.case, self.file.health, as_of=self.as_of)

    def _add(self, entry: Entry) -> None:
        before = self.file.health
        self.file.add([entry])
        self.added += self.file.health != before

    def _say(self, words: str, end: str = "\n") -> None:
        print(words, end=end, file=self.to, flush=True)

    def _read(self, prompt: str) -> str:
        self._say(prompt, end="")
        try:
            typed = " ".join(input().split())
        except EOFError:
            if not self.heard:
                raise BadInput(find("health.nobody_there", "screen")) from None
            raise _Stopped from None
        self.heard = True
        if typed.casefold() in ("s", "stop"):
            raise _Stopped
        return typed

    def _who(self, by: str | None, on: date) -> None:
        """Take the name and the day once: answers count as the athlete's own only, and not ahead."""
        name = self.file.case.athlete.name
        self.by = by if by is not None else self._read(f"Who answers? [{name}] ") or name
        self.on = on if by is not None else self._day(f"On what day? [{on.isoformat()}] ", on) or on
        if not same_name(self.by, name):
            raise BadInput(find("health.answered_by_another", "--by", by=self.by, name=name))
        if self.on > self.as_of:
            days = {"day": self.on.isoformat(), "as_of": self.as_of.isoformat()}
            raise BadInput(find("entry.future", "--on", **days))

    def _day(self, prompt: str, usual: date | None) -> date | None:
        while True:
            typed = self._read(prompt)
            if not typed:
                return usual
            try:
                return date.fromisoformat(typed)
            except ValueError:
                self._say("  A day is typed as 2026-12-06.")

    # The questions.

    def _questions(self, *, everything: bool) -> None:
        asked: list[Question] = []
        back = False
        while True:
            done = {question.id for question in asked}
            due = [one for one in self._due(everything=everything) if one.id not in done]
            if back and asked:
                question = asked.pop()
            elif due:
                question = due[0]
            else:
                return
            number = len(asked) + 1
            back = not self._ask(question, number, max(number, len(asked) + len(due)))
            if not back:
                asked.append(question)
                self._medicines(question)

    def _due(self, *, everything: bool) -> tuple[Question, ...]:
        return questions_due(self._review(), everything=everything)

    def _ask(self, question: Question, number: int, of: int) -> bool:
        """Ask one question until it is answered, and save the answer; False to go back."""
        self._say(f"\nQuestion {number} of {of}\n{question.asks}")
        while True:
            typed = self._read(f"  {KEYS}\n> ").casefold()
            if typed in ("w", "why"):
                self._say(f"  {question.why}")
            elif typed in ("b", "back"):
                return False
            elif typed in REPLIES:
                reply = REPLIES[typed]
                if reply == "yes" and question.is_grave and not self._is_meant():
                    continue
                entry = Answer(question=question.id, reply=reply, by=self.by, on=self.on)
                self._add(Entry("answers", entry))
                return True
            else:
                self._say("  y, n, p, w, b or s is needed here.")

    def _is_meant(self) -> bool:
        """Ask once more: such a yes is not taken back by a later no."""
        self._say("  A yes here holds the plan back, and a later no does not take it back.")
        return self._read("  Is it yes? [y] yes  [n] ask again\n> ").casefold() in ("y", "yes")

    # Medicines.

    def _medicines(self, question: Question) -> None:
        """Ask which are still taken, and for names where a "yes" has none that goes with it."""
        review = self._review()
        if question.id == "medicines" and review.replies["medicines"].reply == "yes":
            for name in medicines_due(review):
                self._still_taken(name, review)
            self._list("Name each one as on its packet.")
        elif names_due(review) and review.replies.get(question.id) is not None:
            missing = {one.about for one in review.found if one.code == "screening.medicine_missing"}
            if question.id in missing:
                self._list("Name the medicine as on its packet.")

    def _still_taken(self, name: str, review: Review) -> None:
        since = next(one.since for one in review.medicines if one.name == name)
        typed = self._read(f"Is {name} still taken as before? [y] yes  [n] no, stopped\n> ").casefold()
        stopped = None
        if typed in ("n", "no"):
            stopped = self._day("  Stopped on what day? ", self.on)
        self._add(
            Entry("medicines", Medicine(name=name, since=since, stopped=stopped, by=self.by, on=self.on))
        )

    def _list(self, words: str) -> None:
        self._say(f"{words} An empty line ends the list.")
        while name := self._read("  Medicine: "):
            since = self._day("  Since which day is it taken as now? (2024-01-31; empty: not known) ", None)
            self._add(Entry("medicines", Medicine(name=name, since=since, by=self.by, on=self.on)))

    # Portions only.

    def _portions(self, *, everything: bool) -> None:
        if self.file.health.portions and not everything:
            return
        while (typed := self._read(f"\n{PORTIONS}\n> ").casefold()) not in ("y", "yes", "n", "no"):
            self._say("  y or n is needed here.")
        choice = PortionsChoice(portions_only=typed in ("y", "yes"), by=self.by, on=self.on)
        self._add(Entry("portions", choice))
