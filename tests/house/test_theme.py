"""Colour is judged beside the screen: every ground is neutral and has the lightness of the look."""

import re
import tomllib
from pathlib import Path

import pytest

from stainbook.colour import lab_to_srgb

ROOT = Path(__file__).parents[2]
THEME = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8"))["theme"]
ACCENTS = {"primaryColor", "linkColor"}


@pytest.mark.parametrize(("theme", "ground", "panel", "text"), [("light", 86, 94, 12), ("dark", 22, 28, 90)])
def test_grounds(theme, ground, panel, text):
    keys = ("backgroundColor", "secondaryBackgroundColor", "textColor")
    greys = [lab_to_srgb((float(L), 0.0, 0.0)).hex for L in (ground, panel, text)]
    assert [THEME[theme][key] for key in keys] == greys


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_nothing_but_the_accent_has_colour(theme):
    coloured = {key for key, value in THEME[theme].items() if len({value[1:3], value[3:5], value[5:7]}) > 1}
    assert coloured == ACCENTS
    assert len({THEME[theme][key] for key in ACCENTS}) == 1


@pytest.mark.parametrize(("theme", "on_accent"), [("light", "#ffffff"), ("dark", "#1f1f1f")])
@pytest.mark.parametrize("ground", ["backgroundColor", "secondaryBackgroundColor"])
def test_text_parts_and_accent_stand_out(theme, on_accent, ground):
    """WCAG 2.2: 4.5 for text, links and the words on what can be pressed, 3 for borders."""
    colours = THEME[theme]
    assert contrast(colours["textColor"], colours[ground]) >= 4.5
    assert contrast(colours["linkColor"], colours[ground]) >= 4.5
    assert contrast(colours["primaryColor"], on_accent) >= 4.5
    assert contrast(colours["borderColor"], colours[ground]) >= 3.0


def test_wells_are_neutral_and_numbers_stand_out_on_them():
    css = (ROOT / "stainbook" / "pages" / "widgets" / "markup.css").read_text(encoding="utf-8")
    ground, ink = (re.search(rf"--{name}: (#[0-9a-f]{{6}})", css)[1] for name in ("well", "on-well"))
    assert ground == lab_to_srgb((62.0, 0.0, 0.0)).hex
    assert contrast(ground, ink) >= 4.5


def contrast(first: str, second: str) -> float:
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(code: str) -> float:
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (int(code[i : i + 2], 16) / 255 for i in (1, 3, 5))
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
