"""Pictures as drawn: the SVG holds what its table says, for eyes, for grey print and for screen readers."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from cds.cli.main import run
from cds.entry.units import limit as placed
from cds.pictures.look import DASHES, DRAWN, PAPER, TEXTS, contrast
from cds.pictures.sheets import draw_threshold
from cds.rules.model import Threshold
from tests.bedside import Data, adviser, entry
from tests.parts.drawn import SVG, at, colours, draw, on_line, panel, parts, rate, rates, style, told, value
from tools.pictures import TARGET, files

pytestmark = pytest.mark.pictures
ROOT = Path(__file__).parents[2]
RULES = adviser().rules


def history() -> Data:
    """Counts with a gap, a provisional one, an amended one; one weight and a temperature in another unit."""
    now = [rate(54), value("body-temperature", 37.1, "Cel", route="axillary"), value("body-weight", 3620, "g")]
    earlier = [
        at("19T06:00", rate(46), value("body-temperature", 98.6, "[degF]", route="axillary")),
        at("19T08:00", rate(50), status="amended"),
        at("20T08:00", rate(68, state="crying", counted_seconds=30)),
        at("20T09:00", rate(56), value("body-temperature", 37, "Cel", route="rectal")),
    ]
    return entry(*now, earlier=earlier)


def test_svg_is_named_and_described_for_a_screen_reader() -> None:
    root = parts(draw(history()).svg).root
    assert root.get("role") == "img"
    title, description = root[0], root[1]
    assert (title.tag, description.tag) == (f"{SVG}title", f"{SVG}desc")
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}" == "title desc"
    assert title.text == "Entry T-9-2, with 4 earlier entries"
    words = (description.text or "").splitlines()
    assert [line.partition(",")[0] for line in words if "; time" in line or "; age" in line] == [
        "Breathing rate",
        "Temperature",
        "Weight by age",
    ]


def test_ids_are_single() -> None:
    ids = [node.get("id") for node in parts(draw(history()).svg).root.iter() if node.get("id")]
    assert len(ids) == len(set(ids))


def test_one_sign_stands_in_each_panel() -> None:
    found = parts(draw(history()).svg)
    assert found.ids("panel-") == ["panel-respiratory-rate", "panel-body-temperature", "panel-body-weight"]
    for name in found.ids("panel-"):
        code = name.removeprefix("panel-")
        marks = [node.get("id", "") for node in found.group(name).iter() if node.get("id", "").startswith("mark-")]
        assert marks == [f"mark-{code}-{number}" for number in range(len(marks))]
        assert len(marks) == len(panel(history(), code).marks)


def test_lines_join_the_marks_that_the_table_says_and_no_others() -> None:
    found = parts(draw(history()).svg)
    assert found.ids("join-") == ["join-respiratory-rate-1", "join-respiratory-rate-3", "join-respiratory-rate-4"]
    said = [line.rsplit("  ", 1)[1] for line in draw(history()).table.splitlines() if "/min, quiet" in line]
    assert said == ["no", "yes", "yes", "yes"]


@pytest.mark.parametrize("code", ["respiratory-rate", "body-temperature"])
def test_marks_stand_where_their_numbers_say(code: str) -> None:
    marks = panel(history(), code).marks
    places = parts(draw(history()).svg).places(f"mark-{code}-")
    assert on_line([y for _, y in places], [mark.y for mark in marks])
    assert on_line([-x for x, _ in places], [mark.x for mark in marks])


def test_limits_stand_among_the_marks_where_their_numbers_say() -> None:
    found, told_of = parts(draw(history()).svg), panel(history(), "respiratory-rate")
    lines = [next(found.group(each).iter(f"{SVG}path")).get("d", "").split() for each in found.ids("limit-resp")]
    heights = [y for _, y in found.places("mark-respiratory-rate-")] + [float(line[2]) for line in lines]
    assert on_line(heights, [*(mark.y for mark in told_of.marks), *(each.y for each in told_of.limits)])
    texts = " ".join(found.texts())
    assert all(each.words in texts and each.source in texts for each in told_of.limits)


def test_limits_are_lines_and_nothing_is_filled_but_marks_and_paper() -> None:
    filled = set()
    for node in parts(draw(history()).svg).root.iter():
        if node.tag in (f"{SVG}path", f"{SVG}use") and style(node).get("fill", "none") != "none":
            filled.add(style(node)["fill"])
    assert filled <= {PAPER, *DRAWN}


def test_shape_tells_provisional_amended_and_late_for_every_sign_alike() -> None:
    data = history()
    data["earlier"][3]["event"]["charted"] = "2025-11-20T23:00:00+00:00"
    data["earlier"][0]["event"].update(status="amended", charted="2025-11-19T23:00:00+00:00")
    found = parts(draw(data, with_delay()).svg)
    shapes = [found.shape(f"mark-respiratory-rate-{number}") for number in range(5)]
    outlines, fills = [outline for outline, _ in shapes], [fill for _, fill in shapes]
    assert len({outlines[0], outlines[1], outlines[2], outlines[3]}) == 4
    assert outlines[2] == outlines[4]
    assert fills[2] == PAPER
    assert {fills[0], fills[1], fills[3], fills[4]} == {DRAWN[0]}
    assert found.shape("mark-body-temperature-0") == shapes[0]
    assert found.shape("mark-body-temperature-1") == shapes[3]
    assert found.ids("legend-") == [
        "legend-settled",
        "legend-provisional",
        "legend-settled-amended",
        "legend-settled-late",
        "legend-settled-amended-late",
    ]


def with_delay() -> Any:
    """The rules with a limit of over four hours on charting."""
    limit = replace(RULES.thresholds["fever"].bands[0], reached="above", limit=placed(4, "h"))
    late = Threshold("late", "Late", "charting-delay", "h", "above", "chronological", (limit,), "", "here")
    return replace(RULES, thresholds={**RULES.thresholds, "late": late})


def test_reference_lines_are_named_at_their_end_and_told_apart_by_dash() -> None:
    found = parts(draw(history()).svg)
    lines = found.ids("reference-body-weight-")
    dashes = [style(next(found.group(line).iter(f"{SVG}path"))).get("stroke-dasharray", "") for line in lines]
    assert dashes[0] == dashes[4] != dashes[1] == dashes[3] != dashes[2]
    assert len(set(dashes)) == len(DASHES)
    assert [text for text in found.texts() if text.startswith("z ")] == ["z -3", "z -2", "z 0", "z +2", "z +3"]


def test_colours_are_those_whose_contrast_is_held() -> None:
    svg = draw(history()).svg
    assert colours(svg) <= {PAPER, *TEXTS, *DRAWN}
    for node in parts(svg).root.iter(f"{SVG}text"):
        assert contrast(style(node)["fill"], PAPER) >= 4.5


def test_every_text_is_a_text_of_legible_size() -> None:
    for node in parts(draw(history()).svg).root.iter(f"{SVG}text"):
        assert float(style(node)["font-size"].removesuffix("px")) >= 8
        assert style(node)["font-family"].endswith("sans-serif")


def test_caption_names_the_digest() -> None:
    digest = RULES.digest.removeprefix("sha256:")[:12]
    for svg in (draw(history()).svg, draw_threshold(RULES.thresholds["fever"], RULES).svg):
        assert sum(digest in text for text in parts(svg).texts()) == 1


def test_words_of_an_entry_cannot_break_the_svg() -> None:
    data = history()
    data["event"]["id"] = "<b>&\"' $x^2$ \\frac"
    found = parts(draw(data).svg)
    assert found.root[0].text == "Entry <b>&\"' $x^2$ \\frac, with 4 earlier entries"
    assert found.root[0].text in found.texts()


def test_bytes_are_the_same_whatever_the_settings_of_a_site() -> None:
    import matplotlib as mpl

    first = draw(history())
    with mpl.rc_context({"svg.hashsalt": None, "font.size": 20, "axes.grid": True, "svg.fonttype": "path"}):
        assert draw(history()) == first
        assert mpl.rcParams["font.size"] == 20
    assert draw(history()) == first


def test_bytes_are_the_same_in_another_process(tmp_path: Path) -> None:
    file = tmp_path / "entry.json"
    file.write_text(json.dumps(history()), encoding="utf-8")
    made = []
    for seed, zone in (("1", "UTC"), ("2", "Asia/Kolkata")):
        out = tmp_path / f"{seed}.svg"
        command = [sys.executable, "-m", "cds.cli.main", "advise", str(file), "--moment", "2025-11-20T10:30:00+00:00"]
        seeded = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        subprocess.run([*command, "--plot", str(out)], check=True, cwd=ROOT, env=seeded, capture_output=True)
        made.append((out.read_bytes(), out.with_suffix(".txt").read_bytes()))
    assert made[0] == made[1]
    assert made[0][0].count(b"date") == 0


@pytest.mark.parametrize(
    "data",
    [
        entry(),
        entry({"code": "grunting", "grade": "absent"}),
        entry(value("wet-diapers", 6, "count", over_hours=24)),
        entry(rate(0)),
        {"infant": {}, "observations": [rate(46)]},
        {"infant": {"age": {"days": 18}}, "observations": [rate(46)], "event": {"measured": "2025-11-20"}},
        entry(value("body-temperature", 36.55556, "Cel")),
        entry(value("body-weight", [8, 4], ["[lb_av]", "[oz_av]"])),
        entry(value("body-length", 510, "mm")),
        entry(value("respiratory-rate", 60, "/min", comparator=">=")),
    ],
    ids=["empty", "signs", "no-limit", "zero", "undated", "age-alone", "off-grid", "pounds", "mm", "bound"],
)
def test_odd_entries_are_drawn_with_what_they_have(data: Data) -> None:
    made = draw(data)
    marks = [mark for each in told(data).panels for mark in each.marks]
    assert len(parts(made.svg).ids("mark-")) == len(marks)
    assert made.table.startswith(told(data).title)


def test_hundreds_of_entries_are_drawn() -> None:
    hours = [at(f"{day:02d}T{hour:02d}:00", rate(40 + hour)) for day in range(5, 20) for hour in range(24)]
    found = parts(draw(rates(*hours)).svg)
    assert (len(found.ids("mark-")), len(found.ids("join-"))) == (361, 360)


@pytest.mark.parametrize(
    "name",
    [
        "fever",
        "saturation-minute-target",
        "respiratory-rate-asleep-above",
        "silverman-andersen-severe",
    ],
)
def test_threshold_is_drawn_step_by_step(name: str) -> None:
    threshold = RULES.thresholds[name]
    made = draw_threshold(threshold, RULES)
    found = parts(made.svg)
    limited = [number for number, limit in enumerate(threshold.bands) if limit.limit]
    assert found.ids("step-") == [f"step-{number}" for number in limited]
    assert found.ids("band-") == [f"band-{number}" for number in range(len(threshold.bands))]
    assert found.root.get("role") == "img"
    assert found.root[0].text == threshold.title
    assert colours(made.svg) <= {PAPER, *TEXTS, *DRAWN}


def test_threshold_without_any_limit_says_so() -> None:
    fever = RULES.thresholds["fever"]
    bands = tuple(replace(limit, limit=None, no_limit="none published", source=None) for limit in fever.bands)
    made = draw_threshold(replace(fever, bands=bands), RULES)
    assert "no limit at any age" in parts(made.svg).texts()
    assert parts(made.svg).ids("step-") == []


def test_plot_writes_picture_and_table_and_says_where(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "fever.svg"
    with pytest.raises(SystemExit) as ended:
        run(["rules", "plot", "fever", "-o", str(file)])
    printed = capsys.readouterr()
    assert (ended.value.code, printed.out) == (0, "")
    assert printed.err == f"picture in {file}, the same as a table in {file.with_suffix('.txt')}\n"
    drawn = draw_threshold(RULES.thresholds["fever"], RULES)
    assert (file.read_bytes(), file.with_suffix(".txt").read_text("utf-8")) == (drawn.svg, drawn.table)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["rules", "plot", "fevr", "-o", "x.svg"], "no threshold `fevr`; nearest is `fever`"),
        (["rules", "plot", "fever", "-o", "x.png"], "no name that ends in .svg"),
        (["rules", "plot", "fever", "-o", "/no/such/folder/x.svg"], "no such file or directory"),
        (["advise", "x.jsonl", "--lines", "--plot", "x.svg"], "draws one entry"),
    ],
)
def test_wrong_use_is_said(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        run(arguments)
    assert ended.value.code == 2
    assert words in " ".join(capsys.readouterr().err.split())


def test_pictures_of_the_docs_are_current() -> None:
    """`make pictures` writes them again, by the versions of the lock."""
    made = dict(files())
    kept = {path.name for path in TARGET.iterdir() if path.suffix in (".svg", ".txt")}
    assert kept == set(made)
    assert [name for name, content in made.items() if (TARGET / name).read_bytes() != content] == []


def test_pictures_of_the_docs_hold_no_forbidden_word() -> None:
    for path in TARGET.glob("*.txt"):
        words = path.read_text("utf-8").lower().split()
        assert not {"ok", "alarm", "safe"} & set(words)
        assert ElementTree.fromstring(path.with_suffix(".svg").read_bytes()).tag == f"{SVG}svg"
