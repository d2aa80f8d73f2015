"""Who may do what: one table. ``config.guard`` enforces it, the page "Who may do what" and DEVELOPERS.md show
it, and a test asks every address as every role and compares.

An address that stands in no line is refused to everyone.
"""

from dataclasses import dataclass

from inspections.enums import Role

INSPECTOR, ELECTRICIAN, OFFICE, SUPERVISOR = Role
EVERYONE = frozenset(Role)

# Open to whoever comes, signed in or not. What these refuse, they refuse themselves.
OPEN = frozenset(
    {
        "account_login", "account_logout", "account_inactive", "mfa_authenticate",
        "account_reset_password", "account_reset_password_done",
        "account_reset_password_from_key", "account_reset_password_from_key_done",
        "account_email_verification_sent", "account_confirm_email",
        "first_run", "join", "choose_look", "service_worker", "at_hand", "healthz",
        "client_report", "client_report_pdf",
    }
)  # fmt: skip

# Where a member whose firm requires a second factor gives it, or sets it up: open without it.
GIVING_SECOND_FACTOR = frozenset({"mfa_reauthenticate", "mfa_reauthenticate_webauthn"})
SETTING_UP_SECOND_FACTOR = frozenset(
    {"mfa_index", "mfa_activate_totp", "mfa_add_webauthn", "account_reauthenticate"}
)


@dataclass(frozen=True)
class Line:
    """One thing that is done, by which roles, at which addresses (names, by the way they are used).

    reads: looked at. forms: a page to fill in, looked at and posted. posts: posted; who may look at such a
    page stands in another line. own_visit: an inspector does it at visits where he or she is the inspector.
    needs_firm: not for whoever runs the service, who has none. in_sample: also in a sample firm.
    """

    what: str
    who: frozenset[Role]
    reads: tuple[str, ...] = ()
    forms: tuple[str, ...] = ()
    posts: tuple[str, ...] = ()
    own_visit: bool = False
    needs_firm: bool = True
    in_sample: bool = True

    def in_words(self, role: Role) -> str:
        """What stands in the table under ``role``."""
        if role not in self.who:
            return "no"
        return "own visits" if self.own_visit and role == INSPECTOR else "yes"


TABLE = (
    Line(
        "Keep one’s own password and second factor",
        EVERYONE,
        reads=("mfa_index", "mfa_list_webauthn", "mfa_view_recovery_codes", "mfa_download_recovery_codes"),
        forms=(
            "account_change_password", "account_reauthenticate", "mfa_reauthenticate",
            "mfa_reauthenticate_webauthn", "mfa_activate_totp", "mfa_deactivate_totp", "mfa_add_webauthn",
            "mfa_edit_webauthn", "mfa_remove_webauthn", "mfa_generate_recovery_codes",
        ),
        needs_firm=False,
        in_sample=False,
    ),
    Line(
        "See the firm’s record, its sheets and its audit",
        EVERYONE,
        reads=(
            "today", "find", "who_may", "parts", "terms", "days", "day",
            "clients", "client", "installations", "installation", "board",
            "circuit", "instruments", "inspection", "results_grid", "findings", "visual_items",
            "observation_photo", "observation_texts", "sheet_download", "report_preview", "visit_pack",
            "remedial_report", "loads", "firm_loads", "load", "load_photo", "load_presets",
            "reading_explained", "where_to_look", "before_you_test", "before_you_test_pdf", "board_label",
            "board_label_pdf", "glow_worksheets", "installation_glow_worksheets", "glow", "glow_pdf",
            "review", "installation_records", "records", "record", "record_json", "record_pdf",
            "audit", "audit_question", "audit_file",
        ),
        posts=("record_pdf", "first_steps_away"),  # the former draws a report that is not drawn yet
    ),
    Line("Keep clients", frozenset({OFFICE, SUPERVISOR}), forms=("client_add", "client_change")),
    Line(
        "Keep installations and their due dates",
        frozenset({INSPECTOR, OFFICE, SUPERVISOR}),
        forms=("installation_add", "installation_change"),
    ),
    Line(
        "Keep boards and circuits",
        frozenset({INSPECTOR, ELECTRICIAN, SUPERVISOR}),
        forms=(
            "board_add", "board_change", "board_copy_circuits", "circuit_add", "circuit_change",
            "circuit_retire",
        ),
    ),
    Line(
        "Keep instruments",
        frozenset({INSPECTOR, OFFICE, SUPERVISOR}),
        forms=("instrument_add", "instrument_change"),
    ),
    Line("Begin a visit", frozenset({INSPECTOR, SUPERVISOR}), forms=("inspection_start",)),
    Line(
        "Enter the results of a visit: readings, limitations, observations, spreadsheets",
        frozenset({INSPECTOR, SUPERVISOR}),
        forms=(
            "inspection_change", "board_result", "intake", "intake_preview", "limitation_add",
            "limitation_change", "observation_add", "observation_change",
        ),
        posts=("results_grid", "visual_items", "intake_commit", "intake_drop", "limitation_answer"),
        own_visit=True,
    ),
    Line(
        "Send a visit for review (a supervisor answers, returns and issues there)",
        frozenset({INSPECTOR, SUPERVISOR}),
        posts=("review",),
        own_visit=True,
    ),
    Line(
        "Issue many visits at once, export many records",
        frozenset({SUPERVISOR}),
        reads=("run", "run_archive"),
        forms=("issue_many", "export_many"),
        posts=("run_stop", "run_resume"),
    ),
    Line(
        "Open an issued record to correct it, and drop a correction opened by mistake",
        frozenset({SUPERVISOR}),
        forms=("correction", "correction_drop"),
    ),
    Line(
        "Bring in a report that another firm issued",
        frozenset({INSPECTOR, OFFICE, SUPERVISOR}),
        forms=("record_intake", "record_intake_preview"),
        posts=("record_intake_drop",),
    ),
    Line(
        "Give a client a link to an issued record, and end it",
        frozenset({OFFICE, SUPERVISOR}),
        forms=("client_link_give",),
        posts=("client_link_end",),
    ),
    Line("Undo what one has just done", EVERYONE, posts=("undo",)),
    Line("Note that an observation is put right", EVERYONE, forms=("observation_put_right",)),
    Line(
        "Keep the load register and look for loads",
        frozenset({INSPECTOR, ELECTRICIAN, SUPERVISOR}),
        forms=(
            "load_add", "load_change", "load_confirm", "load_disconnect", "load_put_back", "load_take_out",
            "load_replace", "load_preset_add", "load_preset_change",
        ),
        posts=("where_to_look",),
    ),
    Line(
        "Print and stick board labels",
        frozenset({ELECTRICIAN, SUPERVISOR}),
        posts=("board_label_print", "board_label_stuck"),
    ),
    Line(
        "Keep glow worksheets",
        frozenset({ELECTRICIAN, SUPERVISOR}),
        forms=("glow_start",),
        posts=("glow", "glow_part", "glow_fit", "glow_close"),
    ),
    Line(
        "Save and remove filters of the audit",
        frozenset({OFFICE, SUPERVISOR}),
        posts=("audit_save", "audit_forget"),
    ),
    Line(
        "Turn one’s own reminders by e-mail on or off",
        EVERYONE,
        posts=("audit_reminders",),
        in_sample=False,
    ),
    Line(
        "Look round in a sample firm of one’s own as any role, and throw it away",
        EVERYONE,
        forms=("sample_throw_away",),
        posts=("sample_enter", "sample_leave"),
    ),
    Line(
        "Keep the firm’s name and address, and whether it requires a second factor",
        frozenset({SUPERVISOR}),
        forms=("firm_change",),
        in_sample=False,
    ),
    Line(
        "Invite members, change their roles, end their sign-in",
        frozenset({SUPERVISOR}),
        reads=("members",),
        forms=("member_invite", "member_role", "member_leave", "member_second_factor"),
        posts=("member_invite_again",),
        in_sample=False,
    ),
)  # fmt: skip

READ = {name: line for line in TABLE for name in (*line.reads, *line.forms)}
WRITE = {name: line for line in TABLE for name in (*line.forms, *line.posts)}
