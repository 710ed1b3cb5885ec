"""What a camera is taken to see when only greys are in the picture: sRGB, or its maker's matrix."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from stainbook.colour import tristimulus_weights
from stainbook.colour.screen import XYZ_TO_SRGB
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.photo.picture import Picture

Floats = NDArray[np.float64]


def assumed_response(picture: Picture, wavelengths: Floats) -> Floats:
    """Response (n, 3) up to a gain a channel, at wavelengths (n,) in nm.

    Raises
    ------
    InputError : for a linear picture that brings no matrix of its camera
    """
    seen = tristimulus_weights(wavelengths, illuminant="D65", observer=2) / 100.0
    if picture.encoding == "srgb":
        return np.asarray(seen @ XYZ_TO_SRGB.T)
    if picture.camera_matrix is None:
        raise InputError(
            say(
                "{source}: a grey card tells nothing of colour in a linear file without its camera's matrix; "
                "put a colour chart in the picture, or take a raw file or a JPEG",
                source=picture.source,
            )
        )
    return np.asarray(seen @ picture.camera_matrix.T)
