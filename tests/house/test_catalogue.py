"""Every sentence stands in the catalogue: none in code is outside of it, none in errors of files and the book."""

from __future__ import annotations

import re

import pytest

from stainbook.book import open_book
from stainbook.errors import StainbookError, UnknownNameError, message
from stainbook.files import (
    read_bodies,
    read_case,
    read_chips,
    read_guide,
    read_outcome,
    read_pasted,
    read_programmes,
    read_readings,
    read_recipes,
    read_stains,
)
from stainbook.files.order import read_order
from stainbook.files.ready_mixes import read_mixes
from stainbook.files.scene import read_scene
from stainbook.language import shown
from stainbook.photo.decode import read_picture
from tests.tools.catalogue import PACKAGE, catalogue, outside, placeholders
from tests.tools.prose import prose_outside, reads_as_prose

# What reads as prose and is no text for people, by module, with the reason.
NO_TEXTS = {
    "book/engines.py": {"-c lock_timeout={}"},  # an option of PostgreSQL's
    "book/faults.py": {  # how SQLite and PostgreSQL word their faults
        "connection refused", "database is locked", "database system is", "disk i/o error", "disk is full",
        "lock timeout", "no space left", "not a database", "permission denied", "read-only transaction",
        "row-level security",
        "readonly database", "server closed the connection", "terminating connection", "unable to open database file",
    },
    "book/labs_apart.py": {  # SQL
        "GRANT USAGE ON SCHEMA {} TO {}", "GRANT {} ON {} TO {}", "REVOKE ALL ON {} FROM PUBLIC",
        "GRANT USAGE, CREATE ON SCHEMA {} TO {}", "REVOKE ALL ON SCHEMA {} FROM PUBLIC",
        "REVOKE ALL ON {} FROM {}", "REVOKE CREATE ON SCHEMA {} FROM PUBLIC",
        "lab = (SELECT lab_roles.lab FROM lab_roles WHERE lab_roles.role = CURRENT_USER)",
    },
    "book/location.py": {"Application Support"},  # a folder of macOS
    "book/migrations/versions/r0004_labs.py": {  # SQL
        "(SELECT DISTINCT lab FROM records) AS labs", "FROM head_0003 WHERE last > 0",
    },
    "book/store.py": {"the lab"},  # an author, stored
    "book/worked.py": {"the outcome was corrected"},  # stored
    "colour/thresholds.py": {  # articles, and a grade, which is a key of the contract
        "Ghinea R et al. J Dent 2010;38 Suppl 2:e57-64",
        "Gomez-Polo C et al. J Dent 2020;103:103502",
        "Paravina RD, Ghinea R, Herrera LJ, et al. J Esthet Restor Dent 2015;27 Suppl 1:S1-9",
        "Ren J, Lin H, Huang Q, Zheng G. Biomed Mater Eng 2015;26(s1) BME-1287",
        "cannot tell",
    },
    "cli/account_commands.py": {"Who may sign in at the lab's server."},  # help, found by content
    "cli/server_commands.py": {  # likewise; and a line to be typed
        "A PostgreSQL database for several labs.", "STAINBOOK_LAB={} stainbook --book {} app --server",
    },
    "faces/account_face.py": {"at the server"},  # an author, stored
    "faces/cases_face.py": {"names offered"},  # keys of what is kept, here and below
    "faces/notebook_tables.py": {"a notebook"},  # the source of a reading, stored
    "faces/reading_face.py": {"weekly chips"},
    "faces/recipe_face.py": {"look up"},
    "faces/setting_face.py": {"scale step"},
    "files/readings.py": {"pasted readings"},  # what has no file is called so
    "files/cxf_writer.py": {'<?xml version="1.0" encoding="UTF-8"?>'},
    "photo/doubt.py": {"fired gum", "fired tooth", "living gum", "living tooth", "unknown gum"},  # kinds: keys
    "photo/photo_change.py": {"fired gum", "fired tooth", "living gum", "living tooth"},
    "kept.py": {"clinic change"},  # a key of the contract
    "pages/shell/sign_in_door.py": {  # answers to programs
        "not a form of this page", "sign in first", "signed in", "signed out", "the session has ended",
    },
    "work/app/accounts.py": {"account added", "account removed", "password changed", "role changed"},  # stored
    "work/app/sign_in.py": {
        "OpenID Connect", "OpenID Connect: {}", "no such name", "session ended", "sign-in refused", "sign-in shut",
        "signed in", "signed out",
    },
    "private.py": {"Not a directory"},  # how the system words it
    "records.py": {"craze line", "stain liquid", "white spot"},  # keys of the contract
    "report/content.py": {"cannot tell", "not graded"},
    "report/report_table.py": {"made on"},  # a column of a file
    "words/safety.py": {"liquids on teeth and gum"},  # a place of the table
    "work/lab/claims_met.py": {"no target", "not read", "other light"},  # keys, worded by words/trust.py
    "work/lab/erased_elsewhere.py": {"erased here"},  # a key of the contract
    "work/lab/exchange.py": {  # a key of the contract; stored
        "erased there", "erased where {} comes from", "taken in from {}",
    },
    "work/lab/kept_recipe.py": {"kept from {}"},  # stored
    "work/photo/photo_colours.py": {"fired tooth"},  # a kind
    "work/reading/convert.py": {"usual repeatability"},  # a key of the contract
    "cli/book.py": {"The lab's book: what it holds, found again, checked and handed on."},  # help, found by content
    "cli/case_steps.py": {"A case: bring it in, write it out, say what was done to its piece."},
    "cli/commands.py": {
        "Brings a ceramic piece to its prescribed colour with stains. A bench aid, not a medical device.",
    },
    "cli/usage.py": {"Invalid value for "},  # how the library of commands words it
    "match/by_hand.py": {"strip and restain"},
    "match/case_advice.py": {"no firing", "out of reach", "strip and restain"},
    "match/offer.py": {"no firing", "no firing left"},
    "match/plan.py": {"no firing", "out of reach"},
    "match/verdict.py": {"no liquid", "would help"},
    "match/work_as_chips.py": {"lot {} of {}"},  # names of factors, here and below
    "optics/gain.py": {"hand stripe 1"},
    "work/case/advise.py": {"no firing"},
    "work/case/case_desk.py": {"strip and restain"},
    "work/case/delivery.py": {"accepted by {}"},  # stored, here and below
    "work/case/trial.py": {"approved by {}, {}: {} of {}", "no date"},
    "work/firing/gathered.py": {"it was fired"},
    "work/sheets/chosen_sheet.py": {"out of reach"},
    "work/sheets/plan_sheet.py": {"no firing", "out of reach"},
    "work/stains/learnt.py": {"the chips' hand"},
    "work/stains/mixed_chips.py": {"lot {} of {}"},
    "work/stains/other_ceramic.py": {"of the discs"},
    "work/stains/templates.py": {"# Lines to show the form, made up: put your own in their place.\n"},  # of a file
    "pages/case/case_mixer.py": {"mix coats {}", "mix share {} {}"},  # keys of fields, here and below
    "pages/photo/photo_before.py": {"photo before"},
    "pages/photo/photo_drawing.py": {
        "photo canvas", "photo corners", "photo corners again", "photo said", "photo second corners", "photo suggested",
        "photo zones",
    },
    "faces/stain_face.py": {"removed plates"},
    "pages/readings/typing_parts.py": {"dropped drafts", "typed here"},
    "pages/photo/photo_files.py": {"photo second"},
    "pages/photo/photo_page.py": {"photo alone", "photo flat", "photo image", "photo own chart", "photo table"},
    "pages/photo/photo_result.py": {"photo stored"},
    "pages/shell/doorkeeper.py": {"not this server's page"},  # for the program at the other end
    "pages/shell/page_frame.py": {"the page %s failed"},  # a line of the log
    "pages/widgets/help_drawings.py": {  # classes of CSS and paths of SVG, here and below
        '<path d="M{0} 30h44v60h-44Zm8 0v60" ', '<rect x="{0}" y="64" width="60" height="10" ',
        '<rect x="{0}" y="74" width="60" height="22" ',
    },
    "pages/widgets/lab_plots.py": {"came out"},  # a column
    "pages/widgets/scale.py": {"dot hollow-dot", "tick-name before"},
    "pages/widgets/zone_list.py": {"zones gaps"},
}  # fmt: skip
STYLES = {  # frames: HTML and CSS; names of methods
    "faces/permits.py", "pages/shell/sign_in_page.py", "work/app/at_once.py", "work/documents/printed.py",
    "work/sheets/case_label.py",
}  # fmt: skip
# Templates that begin or end with a space: parts that stand beside a value on a screen.
SPACED = {"when dry: ", "Usage: "}
OF_ANY_KIND = {"default: {value}"}  # whatever an option's default is


def test_no_prose_stands_outside_the_catalogue():
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        if name in STYLES:
            continue
        left = {text for _, text in prose_outside(path)} - NO_TEXTS.get(name, set())
        if left:
            found[name] = left
    assert not found


def test_no_exception_is_listed_that_is_none():
    left = {name: texts - {text for _, text in prose_outside(PACKAGE / name)} for name, texts in NO_TEXTS.items()}
    assert {name: texts for name, texts in left.items() if texts} == {}


@pytest.mark.parametrize(
    ("text", "prose"),
    [
        ("found nothing", True),
        ("{} of {} rows", True),
        ("{} in the header", True),
        ("SELECT name FROM records", False),
        ("zone", False),
        ("a-b", False),
    ],
)
def test_what_reads_as_prose(text, prose):
    assert reads_as_prose(text) is prose


def _templates():
    for one in catalogue():
        if one.id:
            yield from [one.id] if isinstance(one.id, str) else one.id


def test_plurals_have_the_placeholders_of_the_singular():
    wrong = []
    for one in catalogue():
        if isinstance(one.id, tuple | list):
            single, many = map(placeholders, one.id)
            wrong += [one.id] if not single - {"n"} <= many <= single | {"n"} else []
    assert not wrong


def test_placeholders_have_names_that_tell():
    wrong = [
        text
        for text in _templates()
        if re.search(r"(?<!\{)\{[:!}]", text.replace("{{", "").replace("}}", ""))
        or any(re.fullmatch(r"\w+_\d+|value|\d+|part\d+", name) for name in placeholders(text))
    ]
    assert set(wrong) <= OF_ANY_KIND


def test_no_text_begins_or_ends_with_a_space():
    assert {text for text in _templates() if text != text.strip(" ")} <= SPACED


MALFORMED = [
    (read_readings, "readings.csv", ""),
    (read_readings, "readings.csv", "sample,l,a,b\n"),
    (read_readings, "readings.csv", "note,colour\nx,y\n"),
    (read_readings, "readings.csv", "sample,l,a,b\npeat,70,1\n"),
    (read_readings, "readings.csv", "sample,l,a,b\npeat,170,1,2\n"),
    (read_readings, "readings.csv", "sample,l,a,b\npeat,70,999,2\n"),
    (read_readings, "readings.csv", "sample,l,a,b\n,70,1,2\n"),
    (read_readings, "readings.csv", "sample,l,a,b\npeat,dim,1,2\n"),
    (read_readings, "readings.csv", "sample,l,l,a,b\npeat,70,70,1,2\n"),
    (read_readings, "readings.csv", "sample,l,a,b,\npeat,70,1,2,odd\n"),
    (read_readings, "readings.csv", "sample,l,a,b,observer\npeat,70,1,2,5\n"),
    (read_readings, "readings.csv", "sample,l,a,b,surface\npeat,70,1,2,glased\n"),
    (read_readings, "readings.csv", "sample,l,a,b,taken_at\npeat,70,1,2,noon\n"),
    (read_readings, "readings.csv", "sample,l,a,b,repeats\npeat,70,1,2,0\n"),
    (read_readings, "readings.csv", "sample,l,a,b,aperture_mm\npeat,70,1,2,-3\n"),
    (read_readings, "readings.csv", 'sample,l,a,b\n"peat,70,1,2\n'),
    (read_readings, "readings.csv", "sample,400,410\npeat,0.5,0.6\n"),
    (read_readings, "readings.csv", "sample,400,400\npeat,0.5,0.6\n"),
    (read_readings, "readings.csv", "sample,l,a,b\npeat\x07,70,1,2\n"),
    (read_readings, "readings.txt", "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L\n"),
    (read_readings, "readings.cxf", "<CxF><Resources/></CxF>"),
    (read_pasted, None, "seventy one two"),
    (read_chips, "chips.csv", "chip,body,layer,stain,strength,coats\nx,y,2,husk,1,1\n"),
    (read_chips, "chips.csv", "chip,body,layer,stain,strength,coats\nx,y,1,husk,1.5,1\n"),
    (read_chips, "chips.csv", "chip,body,layer,stain,strength,coats\nx,y,1,husk,3/4,1\nx,y,1,rook,3/4,1\n"),
    (read_recipes, "recipes.csv", "recipe,layer,stain,strength,coats\nx,1,husk,1,1\nx,1,husk,1,1\n"),
    (read_bodies, "bodies.csv", "body,ceramic\nreed,\nreed,\n"),
    (read_bodies, "bodies.csv", "body,thickness_mm\nreed,900\n"),
    (read_guide, "guide.csv", "guide,tab,zone\noat,mid,elsewhere\n"),
    (read_order, "order.csv", "row,sample\n2,peat\n"),
    (read_stains, "stains.yaml", "- {name: husk, kind: odd}\n"),
    (read_stains, "stains.yaml", "- {name: husk, knd: surface}\n"),
    (read_stains, "stains.yaml", "husk\n"),
    (read_stains, "stains.yaml", "# nothing\n"),
    (read_stains, "stains.yaml", "- {name: husk}\n- {name: husk}\n"),
    (read_stains, "stains.yaml", "- &a {name: husk}\n- *a\n"),
    (read_stains, "stains.yaml", "- {name: husk}\n---\n- {name: rook}\n"),
    (read_programmes, "programmes.yaml", "- {programme: glaze, start_c: 900, final_c: 800}\n"),
    (read_mixes, "mixes.yaml", "- {mix: warm, pot: {husk: 2}}\n"),
    (read_case, "case.yaml", "case: W-1\n"),
    (read_case, "case.yaml", "case: W-1\nzones: []\n"),
    (read_case, "case.yaml", "case: W-1\nzones: [{tooth: 99, zone: middle}]\n"),
    (read_case, "case.yaml", "case: W-1\nzones: [{tooth: 11, zone: middle, now: {L: 70}}]\n"),
    (read_case, "case.yaml", "case: W-1\nzones: [{tooth: 11, zone: odd place}]\n"),
    (read_case, "case.yaml", "case: W-1\nlights: [moon]\nzones: [{tooth: 11, zone: middle}]\n"),
    (read_outcome, "outcome.yaml", "case: W-1\nfired_at: 2026-03-02T10:40:00Z\nzones: []\n"),
    (read_scene, "scene.yaml", "reference: t.csv\nrows: 4\ncolumns: 6\nzones: []\n"),
    (read_picture, "picture.jpg", "GIF89a"),
    (read_picture, "picture.jpg", "neither"),
]


# What messages of malformed files quote beside the file's own words: keys, columns, lights and words of the formats.
QUOTED = """
  sample samples tissue tooth gingiva zone zones tab guide body file stage chips l a b c h nm illuminant observer lot
  name kind family materials stages notes system form use max firings coats strength layer stain aperture mm taken at
  matt polished glazed wet end data format begin resources surface liquid infiltrating pearl effect resin clear led
  source case apply shift pot programme start final pasted readings
"""


LIBRARY = "unexpected end of data"  # csv says so


def _plain_words(said: str, *known: str) -> list[str]:
    """Words without accents that are none of the names known; what stands in quotes was found in the file."""
    without = re.sub(
        r"'[^']*'|/\S*/|https?://\S*|\([^()⟦⟧]*\)", " ", said.replace(LIBRARY, "")
    )  # in brackets: a reason
    return outside(without, known={word.lower() for one in known for word in re.findall(r"[A-Za-z]+", one)})


@pytest.mark.parametrize(("read", "name", "text"), MALFORMED)
def test_errors_of_files_leave_no_word_outside_the_catalogue(tmp_path, in_pseudo, read, name, text):
    given = text
    if name is not None:
        (tmp_path / name).write_bytes(text.encode())
        given = tmp_path / name
    with pytest.raises(StainbookError) as caught:
        read(given)
    said = shown(message(caught.value))
    assert re.search("[áéíóú]", said), said
    assert _plain_words(said, QUOTED, name or "", text) == []


def test_what_is_unknown_is_a_text_too(in_pseudo, tmp_path):
    with pytest.raises(UnknownNameError) as caught:
        open_book(f"sqlite:///{tmp_path}/lab.db").share("tomb", "x")
    assert _plain_words(shown(message(caught.value)), "stain tab recipe outcome") == []


@pytest.mark.parametrize("url", ["nonsense", "mysql://host/lab", "sqlite://"])
def test_errors_of_the_book_leave_no_word_outside_the_catalogue(in_pseudo, url):
    with pytest.raises(StainbookError) as caught:
        open_book(url)
    assert _plain_words(shown(message(caught.value)), "sqlite path lab db postgresql psycopg user host name") == []
