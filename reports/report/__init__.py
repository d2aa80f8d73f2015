"""The report of a record, drawn from its content alone: the same content gives the same bytes, years later.

``draw.draw_report`` is the one way in. Each other module holds one part of the report.
"""
