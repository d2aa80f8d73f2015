"""Photographs: what is no picture, half a picture, or one that lies about itself."""

import warnings
from functools import cache
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from inspections.forms.photos import FORMATS, LONGEST_SIDE_PX, PhotoField
from tests.fuzz.wild import damaged, examples, outcome_of

GPS = 0x8825


@cache
def photograph(kind: str) -> bytes:
    exif = Image.Exif()
    exif.get_ifd(GPS)[1] = "N"
    content = BytesIO()
    Image.effect_noise((64, 48), 60).convert("RGB").save(content, kind, exif=exif)
    return content.getvalue()


@pytest.mark.parametrize("kind", FORMATS)
@examples(25)
@given(data=st.data())
def test_a_damaged_photograph_is_refused_or_made_plain(data, kind):
    sent = SimpleUploadedFile("seen.jpg", data.draw(damaged(photograph(kind))))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow warns of what it mends
        kept = outcome_of(lambda: PhotoField().clean(sent), ValidationError)
    if isinstance(kept, str):
        assert kept.endswith(".")
        return
    with Image.open(kept) as picture:
        assert picture.format == "JPEG"
        assert max(picture.size) <= LONGEST_SIDE_PX
        assert dict(picture.getexif()) == {}
