"""The canonical content of an inspection: everything its report says, as plain values.

What is issued is drawn from this alone, so that it can be drawn again years later. The shape is published as
``schema-1.json`` beside this file and named in every record.
"""

from reports.content.build import Gathered, Issue, content_of, gather
from reports.content.canonical import SCHEMA, canonical_json, schema, sha256_of

__all__ = ["SCHEMA", "Gathered", "Issue", "canonical_json", "content_of", "gather", "schema", "sha256_of"]
