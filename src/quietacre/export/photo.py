"""Pictures made of photographs: pixels alone, without the place, the day or the camera."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

QUALITY = 85


def bare_jpeg(pixels: NDArray[np.uint8]) -> bytes:
    """Return pixels as a JPEG that holds nothing else.

    Parameters
    ----------
    pixels : array, shape (rows, columns, 3), uint8.
    """
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", quality=QUALITY)
    return out.getvalue()
