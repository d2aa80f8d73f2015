"""``python -m tests.reports.report.make_golden``: the pictures of the main pages made anew, to look at."""

import os

os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"

import django

django.setup()

from tests.reports.report.golden import FOLDER, drawn, picture  # noqa: E402 - after setup


def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for name, pdf, page in drawn():
        picture(pdf, page).quantize(8).save(FOLDER / f"{name}.png", optimize=True)
    total = sum(path.stat().st_size for path in FOLDER.glob("*.png"))
    print(f"{total / 1000:.0f} kB of pictures made. Look at them before they are kept.")


if __name__ == "__main__":
    main()
