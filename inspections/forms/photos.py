"""Photographs: really a picture, upright, of sensible size, and without the place it was taken in it."""

from io import BytesIO

from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageOps

MAX_BYTES = 10 * 1024 * 1024
MAX_PIXELS = 60_000_000
LONGEST_SIDE_PX = 2400
FORMATS = ("JPEG", "PNG", "WEBP")


class PhotoField(forms.ImageField):
    """An uploaded photograph, kept as a JPEG of at most 2400 pixels a side, without its hidden data."""

    def __init__(self, **kwargs):
        super().__init__(**{"required": False, "widget": forms.FileInput, **kwargs})
        self.widget.attrs["accept"] = "image/jpeg,image/png,image/webp"
        self.error_messages["invalid_image"] = (
            "This file is not a photograph we can read. Choose a JPEG, PNG or WebP picture."
        )

    def to_python(self, data):
        if data and data.size > MAX_BYTES:
            raise forms.ValidationError("The photograph is larger than 10 MB. Choose a smaller one.")
        upload = super().to_python(data)
        try:
            return _made_plain(upload) if upload else upload
        except forms.ValidationError:
            raise
        except Exception:  # a picture broken beyond its head fails in ways that no list of exceptions covers
            raise forms.ValidationError(self.error_messages["invalid_image"], "invalid_image") from None


def _made_plain(upload):
    upload.seek(0)
    with Image.open(upload) as picture:
        if picture.format not in FORMATS:
            raise forms.ValidationError("Choose a JPEG, PNG or WebP picture.")
        if picture.width * picture.height > MAX_PIXELS:
            raise forms.ValidationError("The photograph has over 60 million pixels. Choose a smaller one.")
        picture.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        upright = ImageOps.exif_transpose(picture).convert("RGB")
    upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    content = BytesIO()
    upright.save(content, "JPEG", quality=85)
    return SimpleUploadedFile("photo.jpg", content.getvalue(), content_type="image/jpeg")
