"""Every line that safety needs said is said, whole, on paper."""

from __future__ import annotations

import io

import pytest
from plans import a_case
from pypdf import PdfReader

from provand.pack.safety import race_facts, safety_page
from provand.pack.typeset import Paper
from provand.safety.page import safety_sentences


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_safety_line_reaches_the_paper_whole(paper: Paper) -> None:
    case = a_case()
    reader = PdfReader(io.BytesIO(safety_page(case.practitioner, race_facts(case), paper)))
    told = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    lines = [line for section in safety_sentences() for line in (section.title, *section.says)]
    assert len(lines) > 20
    assert not [line for line in lines if line not in told]
    assert str(reader.trailer["/Root"]["/Lang"]).startswith("en")
