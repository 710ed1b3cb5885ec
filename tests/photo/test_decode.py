"""Files to pictures: each kind as it should be, each damaged or hostile one told in one line."""

import io
import struct
import zlib

import cv2
import numpy as np
import pytest
from PIL import Image, ImageCms

from stainbook.errors import FileError
from stainbook.photo.decode import read_picture
from stainbook.photo.judge import settled
from stainbook.photo.picture import srgb_curves
from tests.photo.shots import write_jpeg, write_tiff
from tests.worlds.photo_accuracy import target_of
from tests.worlds.photo_scenes import developed

RNG = np.random.default_rng(1)
EIGHT = cv2.GaussianBlur(RNG.integers(0, 256, (48, 80, 3), dtype=np.uint8), (0, 0), 4)
SIXTEEN = EIGHT.astype(np.uint16) * 257 + 13
SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def saved(path, image, **keys):
    image.save(path, **keys)
    return path


def refusal(path):
    with pytest.raises(FileError) as caught:
        read_picture(path)
    line = str(caught.value)
    assert path.name in line
    assert "found" in line
    assert "expected" in line
    assert "\n" not in line
    return line


@pytest.mark.parametrize("name", ["p.png", "p.tif"])
@pytest.mark.parametrize("pixels", [EIGHT, SIXTEEN], ids=["8 bits", "16 bits"])
def test_png_and_tiff_come_back_to_the_bit(tmp_path, name, pixels):
    assert cv2.imwrite(str(tmp_path / name), pixels[..., ::-1])
    found = read_picture(tmp_path / name)
    assert found.pixels.dtype == pixels.dtype
    np.testing.assert_array_equal(found.pixels, pixels)
    assert found.size == (80, 48)


def test_jpeg_comes_back_nearly_and_is_encoded(tmp_path):
    found = read_picture(saved(tmp_path / "p.jpg", Image.fromarray(EIGHT), quality=98, subsampling=0))
    assert np.abs(found.pixels.astype(int) - EIGHT).max() < 12
    assert found.encoding == "srgb"
    np.testing.assert_array_equal(found.curves, srgb_curves(256))


@pytest.mark.parametrize("turn", range(1, 9))
@pytest.mark.parametrize("name", ["p.jpg", "p.png", "p.tif"])
def test_the_way_up_is_that_in_which_it_is_seen(tmp_path, turn, name):
    from PIL import ImageOps

    exif = Image.Exif()
    exif[0x0112] = turn
    path = saved(tmp_path / name, Image.fromarray(EIGHT), exif=exif, **({"quality": 95} if name == "p.jpg" else {}))
    with Image.open(path) as image:
        theirs = np.asarray(ImageOps.exif_transpose(image).convert("RGB")).astype(int)
    found = read_picture(path)
    assert found.pixels.shape == theirs.shape
    assert np.abs(found.pixels - theirs).max() <= 3  # two JPEG decoders


def test_what_a_picture_says_of_itself_is_kept_in_part(tmp_path):
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x013B], exif[0xA431] = "Bench", "Bench Box One", "Some Owner", "SN-123"
    exif.get_ifd(0x8769).update(
        {0x829A: 0.008, 0x829D: 22.0, 0x8827: 100, 0xA434: "Macro", 0xA431: "SN-123", 0xA430: "Owner"}
    )
    exif.get_ifd(0x8825).update({1: "N", 2: (50.0, 0.0, 0.0)})
    found = read_picture(saved(tmp_path / "p.jpg", Image.fromarray(EIGHT), exif=exif))
    assert (found.shot.camera, found.shot.lens) == ("Bench Box One", "Macro")
    assert (found.shot.exposure_s, found.shot.aperture, found.shot.iso) == (0.008, 22.0, 100.0)
    assert not any(word in repr(found.shot) for word in ("SN-123", "wner", "50.0"))


@pytest.mark.parametrize(
    ("marks", "said"),
    [({}, False), ({0xA401: 0}, False), ({0xA401: 3}, True), ({0xA460: 3}, True), ({0xA460: 1}, False)],
)
def test_a_picture_that_the_camera_put_together_says_so(tmp_path, marks, said):
    """EXIF's custom rendering and composite image, as phones write them of fused exposures."""
    exif = Image.Exif()
    exif.get_ifd(0x8769).update(marks)
    found = read_picture(saved(tmp_path / "p.jpg", Image.fromarray(EIGHT), exif=exif))
    assert (found.computed, "tab of known colour" in " ".join(found.notes)) == (said, said)


def test_a_profile_gives_the_curves(tmp_path):
    found = read_picture(saved(tmp_path / "p.png", Image.fromarray(EIGHT), icc_profile=SRGB))
    assert np.abs(found.curves - srgb_curves(256)).max() < 1e-4
    assert "sRGB" in found.profile
    assert found.encoding == "srgb"


@pytest.mark.parametrize("profile", [b"", b"nonsense", SRGB[:200], SRGB[:128] + b"\xff\xff\xff\xff" + SRGB[132:]])
def test_a_broken_profile_is_not_believed(tmp_path, profile):
    found = read_picture(saved(tmp_path / "p.png", Image.fromarray(EIGHT), icc_profile=profile))
    np.testing.assert_array_equal(found.curves, srgb_curves(256))
    assert bool(found.notes) == bool(profile)


def test_what_the_scene_says_of_the_encoding_counts(tmp_path):
    path = saved(tmp_path / "p.png", Image.fromarray(EIGHT), icc_profile=SRGB)
    linear = read_picture(path, encoding="linear")
    assert (linear.encoding, linear.curves) == ("linear", None)
    np.testing.assert_allclose(linear.linear(linear.pixels), EIGHT / 255)


def test_a_file_of_16_bits_that_does_not_say_is_judged_on_the_greys(tmp_path, scene):
    target = target_of(scene.world)
    linear, how, _ = settled(read_picture(write_tiff(tmp_path / "l.tif", scene.raw)), scene.corners, target)
    assert (linear.encoding, linear.curves) == ("linear", None)
    assert "judged" in how
    encoded = developed(scene)[..., ::-1].astype(np.uint16) * 257
    assert cv2.imwrite(str(tmp_path / "e.tif"), encoded)
    found, how, _ = settled(read_picture(tmp_path / "e.tif"), scene.corners, target)
    assert found.encoding == "srgb"
    assert "judged" in how


# ---------------------------------------------------------------- what is refused


def test_a_colour_separation_is_refused(tmp_path):
    assert "CMYK" in refusal(saved(tmp_path / "p.jpg", Image.fromarray(EIGHT).convert("CMYK")))
    assert "CMYK" in refusal(saved(tmp_path / "p.tif", Image.fromarray(EIGHT).convert("CMYK")))


def test_transparency_is_refused_and_full_opacity_is_not(tmp_path):
    clear, whole = (Image.fromarray(np.dstack([EIGHT, np.full(EIGHT.shape[:2], a, np.uint8)])) for a in (128, 255))
    assert "transparent" in refusal(saved(tmp_path / "c.png", clear))
    np.testing.assert_array_equal(read_picture(saved(tmp_path / "w.png", whole)).pixels, EIGHT)


@pytest.mark.parametrize("mode", ["L", "P", "1"])
def test_grey_and_palettes_are_refused(tmp_path, mode):
    assert "RGB" in refusal(saved(tmp_path / "p.png", Image.fromarray(EIGHT).convert(mode)))


@pytest.mark.parametrize("name", ["p.png", "p.tif", "p.gif", "p.webp"])
def test_animations_and_pages_are_refused(tmp_path, name):
    frames = [Image.fromarray(np.roll(EIGHT, shift, 0)) for shift in (0, 9)]
    refusal(saved(tmp_path / name, frames[0], save_all=True, append_images=frames[1:]))


@pytest.mark.parametrize("kind", ["jpg", "png", "tif"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.7, 0.97])
def test_a_truncated_file_is_told(tmp_path, kind, share):
    large = cv2.resize(EIGHT, (400, 300))
    path = saved(tmp_path / f"p.{kind}", Image.fromarray(large))
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * share)])
    assert "damaged" in refusal(path) or "decoder" in refusal(path)


def test_the_name_does_not_matter(tmp_path):
    path = saved(tmp_path / "p.png", Image.fromarray(EIGHT)).rename(tmp_path / "p.jpg")
    np.testing.assert_array_equal(read_picture(path).pixels, EIGHT)


@pytest.mark.parametrize(
    "data", [b"", b"sample,L,a,b\n", b"%PDF-1.4", b"PK\x03\x04rest", b"\x00" * 5000, b"II*\x00\x08\x00\x00\x00"]
)
def test_what_is_no_picture_is_told(tmp_path, data):
    (tmp_path / "p.jpg").write_bytes(data)
    refusal(tmp_path / "p.jpg")


def test_a_folder_and_a_missing_file_are_told(tmp_path):
    assert "folder" in refusal(tmp_path)
    assert "no such file" in refusal(tmp_path / "none.jpg")


def claiming(path, width, height):
    """A PNG of a few hundred bytes that claims a size."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = [(b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 1000)), (b"IEND", b"")]
    body = b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data)) for name, data in chunks
    )
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + body)
    return path


@pytest.mark.parametrize(("size", "said"), [((30000, 30000), "900"), ((16320, 12240), "200"), ((12000, 10000), "120")])
def test_too_many_pixels_are_refused_before_they_are_decoded(tmp_path, size, said):
    """Phones take 200 megapixels: the line says how many there are and what to set, not that none can be."""
    line = refusal(claiming(tmp_path / "p.png", *size))
    assert f"found a picture of {said} megapixels, expected at most 110" in line
    assert "50 megapixels" in line


def test_bytes_changed_anywhere_give_a_picture_or_one_line(tmp_path, scene):
    data = bytearray(write_jpeg(tmp_path / "p.jpg", scene).read_bytes())
    rng = np.random.default_rng(7)
    for _ in range(60):
        spoiled = bytearray(data)
        for place in rng.integers(0, len(data) if rng.random() < 0.5 else 700, 3):
            spoiled[place] = rng.integers(256)
        (tmp_path / "s.jpg").write_bytes(bytes(spoiled))
        try:
            found = read_picture(tmp_path / "s.jpg")
        except FileError as error:
            assert "\n" not in str(error)  # noqa: PT017
        else:
            assert found.pixels.ndim == 3


def test_an_embedded_preview_is_never_measured(tmp_path):
    preview = io.BytesIO()
    Image.fromarray(np.full((120, 160, 3), 200, np.uint8)).save(preview, "JPEG")
    exif = Image.Exif()
    exif[0x010F] = "Bench"
    path = saved(tmp_path / "p.jpg", Image.fromarray(EIGHT), exif=exif.tobytes() + preview.getvalue())
    assert read_picture(path).size == (80, 48)


@pytest.mark.parametrize("brand", [b"heic", b"hevc", b"mif1", b"msf1", b"avif"])
def test_a_phones_own_format_is_refused_with_its_brand(tmp_path, brand):
    path = tmp_path / "p.heic"
    path.write_bytes(b"\x00\x00\x00\x18ftyp" + brand + b"\x00" * 64)
    with pytest.raises(FileError, match=f"brand {brand.decode()}"):
        read_picture(path)
