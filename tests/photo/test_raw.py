"""Camera raw: linear, unbalanced, unbrightened, the right way up."""

import cv2
import numpy as np
import pytest

from stainbook.errors import FileError
from stainbook.photo.decode import read_picture
from tests.photo.dng import mosaic_of, write_dng

FLAT = np.array([0.2442, 0.31, 0.1507])


def patch(level=1.0, bright=None):
    """An even picture; ``bright`` puts a brighter square in its corner."""
    rgb = np.broadcast_to(level * FLAT, (96, 128, 3)).copy()
    if bright is not None:
        rgb[:40, :40] = bright
    return rgb


@pytest.mark.parametrize("black", [0, 256])
def test_even_patches_come_back_to_12_bits(tmp_path, black):
    path = write_dng(tmp_path / "p.dng", mosaic_of(patch(), black=black), black=black)
    found = read_picture(path)
    assert (found.encoding, found.size, found.curves) == ("linear", (128, 96), None)
    inner = found.linear(found.pixels)[10:-10, 10:-10].reshape(-1, 3)
    np.testing.assert_allclose(inner.mean(axis=0), FLAT, atol=2e-4)  # 12 bits are 1.2e-4


def test_a_bright_corner_changes_nothing_elsewhere(tmp_path):
    """LibRaw's defaults scale a picture by its own brightest pixel, in silence."""
    dull, bright = (
        read_picture(write_dng(tmp_path / f"{i}.dng", mosaic_of(patch(bright=level))))
        for i, level in enumerate((None, 0.95))
    )
    np.testing.assert_array_equal(dull.pixels[60:90, 60:120], bright.pixels[60:90, 60:120])


def test_values_follow_the_light(tmp_path):
    means = []
    for level in (1.0, 0.5):
        path = write_dng(tmp_path / f"{level}.dng", mosaic_of(patch(level)))
        means.append(read_picture(path).pixels[20:70, 20:100].mean(axis=(0, 1)))
    np.testing.assert_allclose(means[0] / means[1], 2.0, rtol=2e-3)


@pytest.mark.parametrize(("orientation", "corner"), [(1, (0, 0)), (3, (1, 1)), (6, (0, 1)), (8, (1, 0))])
def test_the_way_up(tmp_path, orientation, corner):
    path = write_dng(tmp_path / "p.dng", mosaic_of(patch(bright=0.8)), orientation=orientation)
    found = read_picture(path)
    assert found.size == ((128, 96) if orientation in (1, 3) else (96, 128))
    rows, columns = (slice(4, 30) if end == 0 else slice(-30, -4) for end in corner)
    assert found.pixels[rows, columns].mean() > 0.7 * 65535


def test_the_makers_preview_is_never_measured(tmp_path):
    done, preview = cv2.imencode(".jpg", np.full((96, 128, 3), 230, np.uint8))
    assert done
    plain = write_dng(tmp_path / "plain.dng", mosaic_of(patch()))
    both = write_dng(tmp_path / "both.dng", mosaic_of(patch()), preview=preview.tobytes())
    import rawpy

    with rawpy.imread(str(both)) as raw:
        assert raw.extract_thumb().data[:2] == b"\xff\xd8"  # there is one, and LibRaw sees it
    np.testing.assert_array_equal(read_picture(both).pixels, read_picture(plain).pixels)


def test_camera_is_kept(tmp_path):
    assert read_picture(write_dng(tmp_path / "p.dng", mosaic_of(patch()))).shot.camera == "Bench Box One"


@pytest.mark.parametrize("share", [0.05, 0.5])
def test_a_damaged_raw_is_told(tmp_path, share):
    path = write_dng(tmp_path / "p.dng", mosaic_of(patch()))
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * share)])
    with pytest.raises(FileError, match=r"p\.dng"):
        read_picture(path)


def test_a_raw_file_is_never_taken_as_encoded(tmp_path):
    with pytest.raises(FileError, match="raw file with encoding srgb"):
        read_picture(write_dng(tmp_path / "p.dng", mosaic_of(patch())), encoding="srgb")
