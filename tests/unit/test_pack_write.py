"""Everything or nothing: what a folder holds after writing, and after writing failed."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from paper import page_words
from plans import a_case, a_plan, cleared, some_lines
from pypdf import PdfReader

from provand.case.case import Practitioner
from provand.finding import BadInput, CannotWork
from provand.pack import pieces
from provand.pack.place import beside
from provand.pack.safety import RaceFacts, race_facts, safety_page
from provand.pack.write import NAMES as EVERY
from provand.pack.write import pack_files, write_pack, write_safety
from provand.plan.document import Plan
from provand.plan.withheld import WEIGHTS
from provand.record import canonical

NAMES = tuple(
    sheet.name
    for kind in (pieces.RECORD, *pieces.PIECES)
    for sheet in kind.sheets
    if sheet.is_for(a_plan()) and sheet.is_ready(pieces.Making(a_plan()))
)
"""The files of all pieces, for a plan without menu, course file and anything planned beforehand."""


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_pack_holds_every_piece_and_returns_their_paths(tmp_path: Path) -> None:
    paths = write_pack(cleared(), tmp_path / "deep" / "out")
    assert [path.name for path in paths] == list(NAMES)
    assert all(path.stat().st_size > 200 for path in paths)
    assert [path.name for path in (tmp_path / "deep").iterdir()] == ["out"], "nothing is left beside it"


def test_the_same_plan_gives_the_same_files(tmp_path: Path) -> None:
    write_pack(cleared(), tmp_path / "one")
    write_pack(cleared(), tmp_path / "two")
    assert contents(tmp_path / "one") == contents(tmp_path / "two")


def test_the_plan_comes_back_from_its_file_with_its_code(tmp_path: Path) -> None:
    write_pack(cleared(), tmp_path / "out")
    again = Plan.model_validate_json((tmp_path / "out" / "plan.json").read_bytes())
    assert canonical(again) == canonical(a_plan())
    assert again.code == a_plan().code


@pytest.mark.parametrize(("paper", "absent"), [("a4", "plan-letter.pdf"), ("letter", "plan.pdf")])
def test_one_paper_leaves_out_the_other(tmp_path: Path, paper: str, absent: str) -> None:
    names = {path.name for path in write_pack(cleared(), tmp_path / "out", paper=paper)}  # type: ignore[arg-type]
    assert names == set(NAMES) - {absent}


def test_a_plan_that_was_not_cleared_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TypeError, match="cleared"):
        write_pack(a_plan(), tmp_path / "out")  # type: ignore[arg-type]
    assert not list(tmp_path.iterdir())


def test_our_own_folder_is_replaced_and_no_old_piece_stays(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_pack(cleared(), out)
    write_safety(a_case(), out)
    assert list(contents(out)) == ["safety.pdf"]


@pytest.mark.parametrize("name", ["notes.txt", ".hidden", "plan.json.bak"])
def test_a_folder_with_anything_else_is_left_alone(tmp_path: Path, name: str) -> None:
    write_safety(a_case(), tmp_path / "out")
    (tmp_path / "out" / name).write_text("mine")
    before = contents(tmp_path / "out")
    with pytest.raises(BadInput, match=re.escape(name)):
        write_pack(cleared(), tmp_path / "out")
    assert contents(tmp_path / "out") == before


def test_a_folder_inside_counts_as_something_else(tmp_path: Path) -> None:
    (tmp_path / "out" / "plan.json").mkdir(parents=True)
    with pytest.raises(BadInput, match=r"plan\.json"):
        write_safety(a_case(), tmp_path / "out")


def test_an_empty_folder_is_used(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    assert write_safety(a_case(), tmp_path / "out")


def test_a_file_or_a_link_in_the_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    for name in ("file", "link"):
        with pytest.raises(BadInput, match="not a folder"):
            write_safety(a_case(), tmp_path / name)


def test_failing_half_way_leaves_the_old_folder_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write_pack(cleared(), out)
    before = contents(out)
    rename = Path.rename

    def no_room(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise OSError(28, "No space left on device")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", no_room)
    with pytest.raises(CannotWork, match=r"No space left on device\. Nothing was changed"):
        write_safety(a_case(), out)
    assert contents(out) == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_taking_back_what_was_never_put_leaves_the_older_folder(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_safety(a_case(), out)
    before = contents(out)
    placing = beside(out, ours=EVERY)
    placing.aside.mkdir()
    placing.take_back()
    assert contents(out) == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_page_that_cannot_be_made_writes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> bytes:
        raise CannotWork

    monkeypatch.setattr(pieces, "race_calendar", broken)
    with pytest.raises(CannotWork):
        write_pack(cleared(), tmp_path / "out")
    assert not list(tmp_path.iterdir())


def test_with_weights_withheld_no_file_but_the_record_tells_one(tmp_path: Path) -> None:
    lines = some_lines(a_case())
    plain = tuple(line for line in lines["loading"] if not WEIGHTS.search(line.says))
    paths = write_pack(cleared(a_plan(withheld=("grams",), loading=plain)), tmp_path / "out")
    for path in (path for path in paths if path.suffix != ".png"):
        told = safety_text(path.read_bytes()) if path.suffix == ".pdf" else path.read_text("utf-8")
        assert bool(WEIGHTS.search(told)) == (path.name == "plan.json"), path.name


def safety_text(data: bytes) -> str:
    return " ".join(page_words(data))


def test_the_safety_page_says_nothing_personal() -> None:
    case = a_case()
    told = safety_text(safety_page(case.practitioner, race_facts(case)))
    assert "Askerby" not in told
    assert "weigh" not in told.lower()
    assert a_plan().code not in told
    assert set(re.findall(r"\d+", told)) <= {"6", "2026", "112", "000", "1"}
    assert "no medical advice" in told
    assert "Quernbeck Half Marathon, Sunday 6 December 2026" in told


def test_the_safety_page_fits_one_sheet_and_names_a_place_where_known() -> None:
    facts = RaceFacts(name="Ten", on=a_case().race.gun.date(), place="Lower Quernbeck")
    data = safety_page(Practitioner(name="Ines Halloway"), facts, "letter")
    reader = PdfReader(io.BytesIO(data))
    assert len(reader.pages) == 1
    assert "Ten, Lower Quernbeck, Sunday" in safety_text(data)
    assert "Invented" not in safety_text(data)
    assert data == safety_page(Practitioner(name="Ines Halloway"), facts, "letter")


@pytest.mark.parametrize("name", ["plan.pdf", "plan-letter.pdf", "strip.pdf"])
def test_a_draft_says_so_on_every_sheet_and_carries_no_code(name: str) -> None:
    drafts = {file.name: file.data for file in pack_files(cleared(), pieces=("plan", "strip"), draft=True)}
    for page in PdfReader(io.BytesIO(drafts[name])).pages:
        text = page.extract_text()
        assert "Draft, not issued" in text
        assert cleared().plan.code not in text
        assert "counts" not in text.split("Draft, not issued")[0]


def test_a_course_strip_that_stands_alone_says_for_whom_and_which_copy_counts() -> None:
    strips = [
        next(f.data for f in pack_files(cleared(), pieces=("plan",), draft=draft) if f.name.endswith("svg"))
        for draft in (True, False)
    ]
    draft, issued = (data.decode("utf-8") for data in strips)
    assert cleared().plan.code in issued
    assert "Draft" not in issued
    assert "Draft, not issued" in draft
    assert cleared().plan.code not in draft
    for text in (draft, issued):
        assert "no medical advice" in " ".join(re.sub("<[^>]*>", " ", text).split())


def test_what_is_issued_is_no_draft() -> None:
    made = {file.name: file.data for file in pack_files(cleared(), pieces=("plan",))}
    assert all("Draft" not in words for words in page_words(made["plan.pdf"]))
