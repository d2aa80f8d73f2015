"""All the questions, by the key in their address."""

from reports.audit import (
    falling_due,
    getting_worse,
    insulation_and_zs,
    loads_in_the_way,
    parts,
    unexplained,
    without_full_test,
)

QUESTIONS = {
    one.QUESTION.key: one.QUESTION
    for one in (
        loads_in_the_way,
        parts,
        without_full_test,
        unexplained,
        falling_due,
        getting_worse,
        insulation_and_zs,
    )
}
