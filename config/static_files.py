"""Static files as they are served: each under a name made of its content."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

OWN = ("stillacross/", "inspections/", "remedies/", "reports/")
_IMPORT = (r'(?P<matched>from "(?P<url>\.{1,2}/[^"]+)")', 'from "%(url)s"')


class HashedFiles(CompressedManifestStaticFilesStorage):
    """A script of ours names one it imports by its hashed name too, so that both are of one release."""

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        *((f"{folder}*.js", (_IMPORT,)) for folder in OWN),
    )
