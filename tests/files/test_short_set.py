import pytest

from stainbook.files import read_case
from stainbook.files.case_writer import write_case
from stainbook.files.short_set import OTHER_CLASS, OTHER_ZONE, SAME_CLASS
from tests.files.helpers import refused, saved

TOOTH = ("cervical", "middle", "incisal")
UPPER = (16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26)


def arch(teeth=UPPER, zones=TOOTH, head="readings: short", extra=""):
    rows = [f"  - {{tooth: {tooth}, zone: {'occlusal' if zone == 'incisal' and tooth % 10 > 3 else zone}{extra}}}"
            for tooth in teeth for zone in zones]  # fmt: skip
    return "\n".join(["case: W-1", head, "zones:", *rows]) + "\n"


def case(tmp_path, text):
    return read_case(saved(tmp_path, text, "case.yaml")).records[0]


def test_eight_readings_of_a_full_arch_with_gum(tmp_path):
    found = case(
        tmp_path,
        arch(zones=(*TOOTH, "attached", "papilla")).replace("{tooth: 21, zone: papilla}", "{tooth: 21, zone: margin}"),
    )
    read = [zone.key for zone in found.zones if zone.like is None]
    assert read == [
        (16, "middle"), (13, "cervical"), (13, "middle"), (11, "cervical"), (11, "middle"), (11, "incisal"),
        (11, "attached"), (11, "papilla"),
    ]  # fmt: skip
    assert len(found.zones) == 60


@pytest.mark.parametrize(
    ("zone", "like", "spread"),
    [
        ((21, "cervical"), (11, "cervical"), 1.0),
        ((12, "incisal"), (11, "incisal"), SAME_CLASS),
        ((24, "middle"), (14, "middle"), 1.0),
        ((25, "middle"), (14, "middle"), SAME_CLASS),
        ((24, "cervical"), (13, "cervical"), OTHER_CLASS),
        ((15, "occlusal"), (16, "occlusal"), OTHER_CLASS),
        ((26, "occlusal"), (16, "occlusal"), 1.0),
    ],
)
def test_the_rest_follow_the_nearest_with_wider_doubt(tmp_path, zone, like, spread):
    found = {one.key: one for one in case(tmp_path, arch()).zones}
    assert (found[zone].like, found[zone].like_spread) == (like, spread)


def test_a_zone_whose_name_is_not_read_follows_another_of_its_tissue(tmp_path):
    teeth = "\n".join(f"  - {{tooth: {tooth}, zone: {zone}}}" for tooth in (11, 12) for zone in TOOTH)
    text = f"case: W-1\nreadings: short\nzones:\n{teeth}\n  - {{tooth: 11, zone: neck, tissue: tooth}}\n"
    found = {one.key: one for one in case(tmp_path, text).zones}
    assert found[11, "neck"].like_spread == OTHER_ZONE


def test_zones_with_a_reading_or_a_like_of_their_own_stay(tmp_path):
    text = arch(teeth=(11, 12)) + "  - {tooth: 21, zone: middle, now: {L: 70, a: 1, b: 12}}\n"
    text += "  - {tooth: 22, zone: middle, like: {tooth: 12, zone: middle}}\n"
    found = {one.key: one for one in case(tmp_path, text).zones}
    assert found[21, "middle"].like is None
    assert (found[22, "middle"].like, found[22, "middle"].like_spread) == ((12, "middle"), None)


def test_each_arch_has_its_own_eight(tmp_path):
    lower = tuple(tooth + (30 if tooth < 20 else 10) for tooth in UPPER)
    found = case(tmp_path, arch(teeth=(*UPPER, *lower)))
    read = [zone.tooth < 30 for zone in found.zones if zone.like is None]
    assert (sum(read), len(read)) == (8, 16)


def test_without_the_key_every_zone_is_read(tmp_path):
    assert all(zone.like is None for zone in case(tmp_path, arch(head="readings: all")).zones)
    refused(read_case, saved(tmp_path, arch(head="readings: few"), "case.yaml"), "'few'", "all, short")


def test_a_spread_may_be_written_out(tmp_path):
    head = "case: W-1\nzones:\n  - {tooth: 11, zone: middle}\n"
    text = head + "  - {tooth: 12, zone: middle, like: {tooth: 11, zone: middle, spread: 1.5}}\n"
    assert case(tmp_path, text).zones[1].like_spread == 1.5
    refused(read_case, saved(tmp_path, text.replace("1.5", "0.5"), "case.yaml"), "like.spread", "from 1 to 10")


def test_the_short_set_written_out_is_read_back(tmp_path):
    found = case(tmp_path, arch())
    write_case(tmp_path / "out.yaml", found)
    assert read_case(tmp_path / "out.yaml").records[0].zones == found.zones
