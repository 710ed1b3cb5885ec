"""Each command in the pseudo-language: nothing that it says stands outside the catalogue, and its JSON is the same."""

from __future__ import annotations

import os
import re
import shlex
from dataclasses import replace

import pytest
from typer.main import get_command

from stainbook.book import open_book
from stainbook.cli.commands import app
from stainbook.cli.spoken_help import with_help
from stainbook.files import read_guide
from stainbook.work.app.demo import make_demo_folder
from stainbook.work.case.open_case import open_file
from stainbook.work.firing.record import record_files
from stainbook.work.lab.exchange import import_
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.cli.test_help import ALL
from tests.life.bench import Bench
from tests.tools.catalogue import PSEUDO, outside

LAB = "recipes"
ASKED = """
convert recipes/W-1051.csv
compare recipes/W-1042.csv recipes/targets.csv
calibrate recipes/few.csv recipes/readings.csv --stains recipes/stains.yaml --bodies recipes/bodies.csv
predict recipes/recipes.csv recipes/readings.csv
advise W-1051
plan W-1051 --html plan.html --grams 2
explain W-1051 '11 cervical'
sheet W-1051 --csv order.csv --html order.html
bench W-1051 --html bench.html
report W-1051 --out W-1051.pdf
read recipes/W-1051.csv
instrument hand --illuminant D65 --observer 2 --geometry 45/0
plate kettle flour --chips plates.csv --html plates.html
control weekly-plate
guide
trial W-1051
jars
label W-1051 --out label.html
programme
mixes
record recipes/finished/firings/W-0971-2.yaml
case open recipes/W-1063.yaml
case show W-1063
case write W-1051 today.yaml
case did W-1063 milled
case did W-1063 milled --undo
case tooth W-1051 12=11
case undo W-0988
case take-back W-0971 2026-02-03T16:05:00Z --why 'wrong case'
book list
book list stain
book show flour --kind stain
book show 'warm neck' --kind recipe
book search --colour 72,1.6,17 --radius 4
book history W-0971 --kind case
book approve 'warm neck'
book retire 'warm neck'
book keep 'W-0971 11 cervical 2026-02-03T16:05:00Z' 'warmer neck'
book export out.zip
book import out.zip --preview
book verify
book backup --to copy.db
book withdraw reading/W-1051-11-cervical --because 'wrong tooth'
book confirm
book share stain/flour
book accept W-1051 --by clinic
book deliver W-1051
book return W-1051 --for shade
book numbers
book costs --since 2026-03-01
trust
book erase W-1051
account add north --role lead --subject north --accounts accounts.db
account add bench-2 --subject bench-2 --accounts accounts.db
account list --accounts accounts.db
account role bench-2 reader --accounts accounts.db
account remove bench-2 --accounts accounts.db
account log --accounts accounts.db
server prepare --lab north
"""
COMMANDS = [tuple(shlex.split(line)) for line in ASKED.strip().splitlines()]
SERVED = {("app",), ("demo",), ("worker",), ("schema",)}  # a server, and JSON alone
# need a photo, readings by two instruments; tell of the machine that they run on; ask for a password
NOT_ASKED = {("photo",), ("agree",), ("selfcheck",), ("doctor",), ("account", "password")}
# print a record's own keys and values, as the contract has them; and lines as they were noted
RECORDS = {("book", "show"), ("account", "log")}
TIMES = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|\+00:00)?")
SEALS = re.compile(r"\b[0-9a-f]{32,64}\b")
PLAIN = "json cie iso csv yaml db html pdf zip stainbook led utc lab"  # names and kinds of files
KINDS = "body firing tab instruments operators steps"  # of things in a book, as they are asked for
NO_NAMES = re.compile(r"^#.*|^[a-z_]+(?:,[A-Za-z_0-9]+)+$|\b[a-z_]+:", re.MULTILINE)  # of a file: notes, heads, keys
SIGNS = "OPTIONS ARGS COMMAND URL help"  # of a line of usage
TYPED = re.compile(r"stainbook [^~]*~|<[^>]+>|⟦[^⟧:]*: [^⟧]* ~+⟧")  # of help: what is typed, kinds of values, defaults


@pytest.fixture(scope="module")
def benches(tmp_path_factory, pseudo_folder):
    """The demonstration lab with some of its stripes, three times: English and pseudo JSON, and to be read."""
    first = tmp_path_factory.mktemp("first")
    lab = make_demo_folder(first)
    chips = (lab / "chips.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    few = [chips[0], *(row for row in chips if row.startswith(("clear-", "kettle-", "pollen-", "flour-")))]
    (lab / "few.csv").write_text("".join(few), encoding="utf-8")  # soon learnt
    with open_book(f"sqlite:///{first / 'lab.db'}", author="bench-1") as book:
        book.add_guide(read_guide(lab / "guide.csv").records)
        calibrate_files(book, ChipFiles(lab / "few.csv", lab / "readings.csv", lab / "stains.yaml", lab / "bodies.csv"))
        import_(book, lab / "finished")
        record_files(book, [lab / "finished" / "firings" / f"W-0971-{number}.yaml" for number in (1, 2)])
        for case in ("W-1051", "W-1042", "W-1063"):  # marks of cases are random
            open_file(book, lab / f"{case}.yaml")
    spoken = {"STAINBOOK_CATALOGUES": str(pseudo_folder), "STAINBOOK_LANG": PSEUDO}
    found = []
    for name, environment in (("english", {}), ("json", spoken), ("read", spoken)):
        folder = tmp_path_factory.mktemp(name)
        found.append(replace(Bench.of(first, folder), environment=environment))
    return found


@pytest.fixture(scope="module")
def known(benches) -> set[str]:
    """Words of the lab's files and of what is typed: names, which no language has."""
    files = (path for path in (benches[0].folder / LAB).rglob("*") if path.suffix in (".yaml", ".csv"))
    texts = [NO_NAMES.sub("", path.read_text(encoding="utf-8")) for path in files]
    texts += [word for one in with_help(get_command(app)) for word in names_of(one)]
    return words_of(*texts, ASKED, PLAIN, KINDS)


def names_of(one: object) -> list[str]:
    """What is typed to mean a command, an option or an argument, and what stands for its value."""
    names = [*getattr(one, "opts", ()), *getattr(one, "secondary_opts", ()), getattr(one, "metavar", None), one.name]
    return [name for name in names if name]


def words_of(*texts: str) -> set[str]:
    """The words of some texts, in small letters."""
    return {word.lower() for text in texts for word in re.findall(r"[A-Za-z][A-Za-z']*", text)}


def test_all_commands_are_asked():
    asked = {words[: len(path)] for words in COMMANDS for path in ALL if words[: len(path)] == path}
    assert set(ALL) - asked == SERVED | NOT_ASKED


def test_each_command_says_the_same_in_json_and_all_of_it_through_the_catalogue(benches, known):
    english, spoken, read = benches
    leaks, other = {}, []
    for words in COMMANDS:
        first, second = (bench.run(*words, "--json", status=None) for bench in (english, spoken))
        if (first.status, without_times(first.out)) != (second.status, without_times(second.out)):
            other.append(words)
        said = read.run(*words, status=None)
        assert said.status == first.status, words
        found = outside(without_names(said.out + said.err, read), known=known)
        if found and not {words[:1], words[:2]} & RECORDS:
            leaks[" ".join(words)] = found
    assert other == []
    assert "".join(f"{name}: {words}\n" for name, words in leaks.items()) == ""


def test_each_help_goes_through_the_catalogue(benches):
    known = words_of(*(word for one in with_help(get_command(app)) for word in names_of(one)), SIGNS)
    leaks = {}
    for path in [(), *ALL]:
        said = re.sub(r"\s+", " ", benches[2].run(*path, "--help").out)
        if found := outside(TYPED.sub(" ", said), known=known):
            leaks[" ".join(path)] = found
    assert "".join(f"{name}: {words}\n" for name, words in leaks.items()) == ""


def without_times(text: str) -> str:
    """A document without the moments and seals at which its book was worked on."""
    return SEALS.sub("", TIMES.sub("", text))


def without_names(text: str, bench: Bench) -> str:
    """What was said, without options and without the bench's own folder, which wraps in a table."""
    text = text.replace(str(bench.folder), "").replace(os.sep.join(bench.folder.parts[-2:]), "")
    return SEALS.sub("", re.sub(r"--[a-z][\w-]*|\b[0-9a-f]{16}\b", "", text))
