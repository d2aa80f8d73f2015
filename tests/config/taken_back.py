"""How each act is taken back: one answer for every address that is posted to. A test posts what says Undo and
looks at what asks first; an address without an answer fails it.

Where one address takes several acts, its form says which with ``do``: ``review do=issue``.
"""

# The message that says what was done has “Undo” beside it: services/undo.py puts every row back.
UNDO = frozenset(
    {
        "client_add", "client_change", "installation_add", "installation_change", "board_add", "board_change",
        "board_copy_circuits", "circuit_add", "circuit_change", "circuit_retire", "instrument_add",
        "instrument_change", "inspection_start", "inspection_change", "board_result", "results_grid",
        "visual_items", "intake_commit", "intake_drop", "limitation_add", "limitation_change",
        "limitation_answer", "observation_add", "observation_change", "observation_put_right",
        "review do=send", "review do=answer", "review do=return", "record_intake_drop", "client_link_end",
        "load_add", "load_change", "load_confirm", "load_disconnect", "load_put_back", "load_take_out",
        "load_replace", "load_preset_add", "load_preset_change", "board_label_print", "board_label_stuck",
        "glow_start", "glow", "glow_fit", "glow_close", "audit_save", "audit_forget", "firm_change",
        "member_role",
    }
)  # fmt: skip

# Taken back by an act as plain, and by which: on the page that the act was done on or leads to.
PLAINLY = {
    "account_change_password": "change it again",
    "account_reauthenticate": "sign out",
    "mfa_reauthenticate": "sign out",
    "mfa_reauthenticate_webauthn": "sign out",
    "mfa_activate_totp": "remove the app",
    "mfa_add_webauthn": "remove the passkey",
    "mfa_edit_webauthn": "name it again",
    "first_steps_away": "show the first steps again",
    "intake": "drop the file",
    "intake_preview": "choose otherwise",
    "record_intake": "drop the report",
    "correction": "drop the correction",
    "correction_drop": "correct the record",
    "client_link_give": "end the link",
    "where_to_look": "take back the last step",
    "glow_part": "answer otherwise",
    "run_stop": "go on",
    "run_resume": "stop",
    "export_many": "stop",
    "audit_reminders": "turn them on or off again",
    "member_invite": "end the sign-in",
    "member_invite_again": "end the sign-in",
    "sample_enter": "go back to one’s own firm",
    "sample_leave": "look round again",
    "undo": "do it again",
}

# Adds what the record says already, and takes nothing away.
NOTHING_TO_TAKE_BACK = frozenset({"record_pdf"})  # drawn from its content, to the byte the same each time

# Cannot be undone: the page asks first, and says what stays done in these words.
ASKS = {
    "mfa_deactivate_totp": "to use the app again, set it up again",
    "mfa_remove_webauthn": "to use it again, add a passkey again",
    "mfa_generate_recovery_codes": "no longer work once new ones are made",
    "review do=issue": "a mistake in it is corrected by a revision",
    "issue_many": "a mistake in a record is corrected by a revision",
    "record_intake_preview": "an earlier visit is never altered or removed",
    "member_leave": "password and second factor are gone",
    "sample_throw_away": "another sample begins as this one began",
    "member_second_factor": "sets a second factor up again",
}
