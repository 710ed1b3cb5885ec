"""The open formats, in and out: each reader hands back records and warnings, or raises one clear line."""

from stainbook.files.bodies import read_bodies, write_bodies
from stainbook.files.case import read_case, read_cases, read_pot
from stainbook.files.file_light import Defaults
from stainbook.files.guide import read_guide, write_guide
from stainbook.files.jar_list import read_jars, write_jars
from stainbook.files.layers import read_chips, read_recipes, write_chips, write_recipes
from stainbook.files.loaded import Loaded
from stainbook.files.order import format_order, read_order
from stainbook.files.outcome import read_outcome
from stainbook.files.programmes import read_programmes, write_programmes
from stainbook.files.readings import ReadingSet, average_repeats, read_pasted, read_readings
from stainbook.files.readings_writer import format_readings, write_readings
from stainbook.files.ready_mixes import read_mixes
from stainbook.files.stains import format_stains, read_stains, write_stains
from stainbook.files.text import NamedFile, Source

__all__ = [
    "Defaults",
    "Loaded",
    "NamedFile",
    "ReadingSet",
    "Source",
    "average_repeats",
    "format_order",
    "format_readings",
    "format_stains",
    "read_bodies",
    "read_case",
    "read_cases",
    "read_chips",
    "read_guide",
    "read_jars",
    "read_mixes",
    "read_order",
    "read_outcome",
    "read_pasted",
    "read_pot",
    "read_programmes",
    "read_readings",
    "read_recipes",
    "read_stains",
    "write_bodies",
    "write_chips",
    "write_guide",
    "write_jars",
    "write_programmes",
    "write_readings",
    "write_recipes",
    "write_stains",
]
