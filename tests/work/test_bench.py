"""The bench sheet: gaps in words, what is not proposed and why, resin stains on provisionals, minutes."""

import numpy as np
import pytest

from stainbook.apparatus import Programme
from stainbook.book import open_book
from stainbook.colour import delta_e_2000, spectrum_to_lab
from stainbook.optics.curves import Optics, expected_curve
from stainbook.optics.film import Piece, reading_after
from stainbook.records import Reading, Stain
from stainbook.words import safety
from stainbook.work.documents.document_parts import Gap
from stainbook.work.sheets.bench import bench, cells, gap_words, save_html
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files

WAVES = tuple(float(wave) for wave in range(400, 701, 10))
BODY = np.linspace(0.62, 0.74, 31)
PIECE = Piece(BODY[None], "glazed", 0.0, Optics({}).ceramic(None))
STRIPES = ((0.25, 1), (1.0, 1), (0.25, 2))


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        yield book


def painted(share, coats):
    curve = expected_curve("ochre", "surface", "brown")
    amount = share**curve.exponent * coats
    return reading_after(PIECE, curve.K[None, None] * amount, curve.S[None, None] * amount)[0]


def spectra(path, rows):
    text = [",".join(["sample", *(f"{wave:g}" for wave in WAVES)])]
    text += [",".join([name, *map(repr, map(float, R))]) for name, R in rows.items()]
    path.write_text("\n".join(text), encoding="utf-8")
    return path


def learn(book, tmp_path, *, kind, firings):
    """Three stripes of one stain, calibrated; the target is what half a share of it would make."""
    book.add_stains([Stain("ochre", kind=kind, family="brown")])
    rows = {"plate": BODY} | {f"c{i}": painted(*stripe) for i, stripe in enumerate(STRIPES)}
    chips = ["chip,body,layer,stain,strength,coats,firings"]
    chips += [f"c{i},plate,1,ochre,{share},{coats},{firings}" for i, (share, coats) in enumerate(STRIPES)]
    (tmp_path / "chips.csv").write_text("\n".join(chips), encoding="utf-8")
    calibrate_files(book, ChipFiles(tmp_path / "chips.csv", spectra(tmp_path / "readings.csv", rows)))
    book.add_readings([Reading("W-1-11-middle", WAVES, tuple(BODY.tolist()), surface="glazed")])
    spectra(tmp_path / "targets.csv", {"wanted": painted(0.5, 1)})


def case(tmp_path, *lines):
    zones = ("zones:", "- {tooth: 11, zone: middle, target: {file: targets.csv, sample: wanted}}")
    path = tmp_path / "case.yaml"
    path.write_text("\n".join(["case: W-1", *lines, *zones]) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ((-2.1, 0.2, 0.0), ("2.1 too dark", "on target", "on target")),
        ((1.0, -3.04, 0.5), ("1.0 too light", "3.0 too weak", "0.5 too green")),
        ((0.0, 2.0, -0.6), ("on target", "2.0 too strong", "0.6 too red")),
    ],
)
def test_a_gap_in_words(parts, words):
    dL, dC, dH = parts
    gap = Gap(dE00=1.0, dL=dL, dC=dC, dH=dH, grade="within")
    assert gap_words(gap, np.array([70.0, 1.0, 16.0])) == words


def test_a_fired_piece_gets_the_next_step_and_its_minutes(book, tmp_path):
    learn(book, tmp_path, kind="surface", firings=1)
    book.add_programmes([Programme("glaze-770", minutes=24.0, source_sheet="sheet 3")])
    found = bench(book, case(tmp_path, "stage: glazed", "programme: glaze-770"))
    (zone,) = found.zones
    assert zone.value.endswith("too light")
    assert "ochre" in zone.step
    assert 24.0 <= zone.minutes <= 48.0
    assert (found.minutes, found.cautions) == (zone.minutes, list(safety.AT["sheet"]))


def test_minutes_are_never_made_up(book, tmp_path):
    learn(book, tmp_path, kind="surface", firings=1)
    book.add_programmes([Programme("glaze-770")])
    for lines in (("stage: glazed", "programme: glaze-770"), ("stage: glazed",)):
        assert bench(book, case(tmp_path, *lines)).minutes is None


def test_a_provisional_takes_resin_stains_and_no_chance_of_a_firing(book, tmp_path):
    learn(book, tmp_path, kind="resin", firings=0)
    found = bench(book, case(tmp_path, "stage: trial"))
    (zone,) = found.zones
    assert found.resin_stains == ["ochre"]
    assert "ochre" in zone.step
    assert (zone.minutes, found.cautions) == (None, list(safety.AT["sheet, provisional"]))
    assert found.warnings == ["a provisional is never fired: no chance of a firing"]


def test_resin_stains_are_not_offered_for_the_furnace(book, tmp_path):
    learn(book, tmp_path, kind="resin", firings=0)
    (zone,) = bench(book, case(tmp_path, "stage: glazed")).zones
    assert "ochre" not in (zone.step or "")


def test_before_any_stain_the_gap_stands_alone_and_a_zone_that_was_not_read_says_so(book, tmp_path):
    spectra(tmp_path / "targets.csv", {"wanted": painted(0.5, 1)})
    path = case(
        tmp_path, "stage: glazed", "effects: [{tooth: 11, effect: halo, pot: {flour: 1/4}, place: incisal edge}]"
    )
    found = bench(book, path)
    assert found.zones[0].step == "not read"
    assert found.effects == ["11: halo at incisal edge, 1 part flour + 3 parts clear"]
    book.add_readings([Reading("W-1-11-middle", WAVES, tuple(BODY.tolist()))])
    (zone,) = bench(book, path).zones
    assert zone.gap.dL > 0
    assert cells(zone)[:4] == ("11", "middle", "read", f"{zone.gap.dE00:.1f}")
    save_html(found, tmp_path / "bench.html")
    text = (tmp_path / "bench.html").read_text(encoding="utf-8")
    assert "not read" in text
    assert "halo at incisal edge" in text


GUM = np.linspace(0.2, 0.5, 31)


@pytest.mark.parametrize("spectral", [True, False])
def test_gum_read_in_three_places_shows_its_mottle(book, tmp_path, spectral):
    target = "target: {L: 55, a: 20, b: 9, illuminant: D65, observer: 10}"
    zone = f"- {{tooth: 11, zone: attached, tissue: gingiva, now: {{file: gum.csv, sample: g}}, {target}}}"
    path = tmp_path / "gum.yaml"
    path.write_text(f"case: G-1\nstage: glazed\nzones:\n{zone}\n", encoding="utf-8")
    levels = np.array([0.96, 1.0, 1.04])
    places = spectrum_to_lab(levels[:, None] * GUM, WAVES, illuminant="D65", observer=10)
    if spectral:
        rows = [f"g,{','.join(f'{value:.9f}' for value in level * GUM)}" for level in levels]
        text = [",".join(["sample", *(f"{wave:g}" for wave in WAVES)]), *rows]
    else:
        text = ["sample,L,a,b,illuminant,observer", *(f"g,{L},{a},{b},D65,10" for L, a, b in places)]
    (tmp_path / "gum.csv").write_text("\n".join(text), encoding="utf-8")
    (mottle,) = [zone.mottle for zone in bench(book, path).zones]
    expected = places.std(axis=0, ddof=1)
    assert (mottle.L, mottle.a, mottle.b) == pytest.approx(expected, abs=0.02)  # the same places, read either way
    apart = delta_e_2000(places, places.mean(axis=0))
    assert mottle.dE00 == pytest.approx(np.sqrt((apart**2).sum() / 2), abs=0.05)
