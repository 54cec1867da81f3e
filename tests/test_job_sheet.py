"""The job sheet: everything that is asked of a shop stands on it once, in the order of work, and nothing over anything else."""

import dataclasses
import math

import pytest
from pdf_lines import pages as read_pages
from sample_parts import bracket, trough
from small_parts import part_of

from configs import read
from generators.drawings.job_sheet import _tubes, job_sheet
from generators.nest import nests
from generators.pieces import Piece, Tube
from generators.sheet.branches import TubeEnd
from generators.shop.cautions import CAUTIONS
from generators.shop.pack import pack


@pytest.fixture(scope="module")
def sheet():
    """Of a bracket and a trough, with what they were packed to."""
    parameters, parts = read("bench_mockup").parameters, (bracket(), trough())
    packed, laid = pack(parameters, parts), nests(parts, parameters.sheet)
    return parameters, parts, packed, laid, job_sheet(parameters, parts, packed, laid)


def words(made):
    return [w.said for page in made.pages for w in page.words]


def headings(made):
    """Of tables, each once."""
    return list(dict.fromkeys(w.removesuffix(", continued") for w in words(made) if w[:1] in tuple("12345") and w[1:].startswith((" Order", " Cut", " Bend", " Weld", " Bolt"))))


def test_it_goes_in_the_order_of_work(sheet):
    assert [h[0] for h in headings(sheet[-1])] == sorted(h[0] for h in headings(sheet[-1]))
    assert headings(sheet[-1]) == ["1 Order: sheet", "1 Order: bar and tube", "2 Cut: bracket", "2 Cut: trough", "3 Bend: bracket", "3 Bend: trough", "4 Weld: how, stage by stage", "4 Weld: bracket", "4 Weld: trough",
                                   "5 Bolt up"]


def test_every_piece_bend_and_seam_is_on_it(sheet):
    _, parts, packed, laid, made = sheet
    said = words(made)
    for part in parts:
        for piece in part.pieces:
            if piece.flat is not None:
                at = said.index(piece.name)
                assert said[at + 1:at + 4] == [str(piece.quantity), piece.material, f"{piece.thickness:.3g}"]
        bends = said[said.index(f"3 Bend: {part.name}"):]
        for plan in packed.bends[part.name]:
            for step, b in enumerate(plan.bends, start=1):
                at = next(i for i, w in enumerate(bends) if w == plan.piece and bends[i + 1] == str(step))
                assert bends[at + 2] == str(b.number) and float(bends[at + 4]) == pytest.approx(math.degrees(abs(b.bend.angle)), abs=0.05)
                assert float(bends[at + 7]) == pytest.approx(b.bend.allowance, abs=0.005) and float(bends[at + 8]) == pytest.approx(b.bend.deduction, abs=0.005)
        welds = said[said.index(f"4 Weld: {part.name}"):]
        for step in packed.welds[part.name]:
            at = next(i for i, w in enumerate(welds) if w == f"{step.a} + {step.b}")
            assert welds[at + 1:at + 3] == [str(step.seams), f"{step.length:.0f}"]
    assert all(n.material in said and f"{n.length:g} x {n.width:g}" in said for n in laid)


def test_a_mitred_tube_is_ordered_with_its_cut():
    """Legs of 30 and 20 mm, sawn apart at 45 degrees: 3 mm across are 3 sqrt 2 along (by hand), and 3 for the end."""
    end = TubeEnd("mitre of both legs", 8.0, (0.0,) * 8, "outside")
    tube = Piece("tube", "tube", "6061-T6", 2700.0, bracket().piece("pin").solids, ends=(end,), stock=Tube(16.0, 13.6, 50.0))
    (row,) = _tubes([part_of(tube)]).rows
    assert row[1:4] == ("16.00", "13.60", str(tube.quantity)) and float(row[4]) == pytest.approx(tube.quantity * (50 + 3 + 3 * math.sqrt(2)), abs=0.5)


def test_the_cautions_are_on_it_whole(sheet):
    said = " ".join(" ".join(words(sheet[-1])).split())
    assert all(" ".join(text.split()) in said for text in CAUTIONS.values())


def test_nothing_is_written_over_anything_else_or_left_out(sheet):
    made = sheet[-1]
    assert all(page.overlapping() == [] for page in made.pages) and "…" not in " ".join(words(made))
    assert len(read_pages(made.pdf)) == len(made.pages) > 1
    for i, _ in enumerate(made.pages, start=1):
        assert f"{i} of {len(made.pages)}" in words(made)


def test_what_is_ordered_for_a_part_without_a_place_is_marked(sheet):
    parameters, parts, packed, laid, _ = sheet
    astray = dataclasses.replace(packed, astray={"bracket": "belongs elsewhere"})
    said = " ".join(words(job_sheet(parameters, parts, astray, laid)))
    assert "Not for this engine as it stands: bracket belongs elsewhere." in said and "Pieces for parts that are not for this engine: " in said
    assert "Not for this engine" not in " ".join(words(sheet[-1])) and "Pieces for parts" not in " ".join(words(sheet[-1]))


def test_a_design_that_falls_short_says_so_first(sheet):
    parameters, parts, packed, laid, _ = sheet
    made = job_sheet(parameters, parts, packed, laid, failing=[("Free radius for a socket", "trough.bolt_access")])
    said = words(made)
    assert said.index("Do not make this as it is") < said.index("What is made") and {"Free radius for a socket", "trough.bolt_access"} <= set(said)


def test_what_is_turned_is_ordered_by_its_size(sheet):
    """The sample's pins are bars of 4 mm, 20 mm long."""
    said = words(sheet[-1])
    at = said.index("bracket / pin")
    assert said[at + 1:at + 4] == ["2", "5052-H32", "4.0 x 4.0 x 20.0"]


def test_the_same_is_written_every_time(sheet):
    parameters, parts, packed, laid, made = sheet
    assert job_sheet(parameters, parts, packed, laid).pdf == made.pdf
    other = parameters.model_copy(update={"title": "Another"})
    assert job_sheet(other, parts, packed, laid).pdf != made.pdf and dataclasses.is_dataclass(made)
