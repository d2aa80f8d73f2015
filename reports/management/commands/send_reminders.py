"""One e-mail a member, with all that needs them, and none to whoever nothing needs."""

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.core.management.base import BaseCommand
from django.utils import timezone

from inspections.models import Member
from reports.audit.today import needs_of

CONSOLE = "django.core.mail.backends.console.EmailBackend"


class Command(BaseCommand):
    help = (
        "Send each member one e-mail with what needs them today, as their first page shows it. Run it as "
        "often as a reminder is wanted: every Monday, say. Without EMAIL_URL the mails are printed instead."
    )

    def add_arguments(self, parser):
        parser.add_argument("--site", required=True, help="address of the site: https://records.example.com")

    def handle(self, *args, site, **options):
        day = timezone.localdate()
        mails = [mail for member in _members() if (mail := _mail(member, day, site.rstrip("/")))]
        connection = get_connection() if settings.MAIL_IS_SET else get_connection(CONSOLE, stream=self.stdout)
        connection.send_messages(mails)
        self.stdout.write(f"{len(mails)} sent." if settings.MAIL_IS_SET else f"{len(mails)} to send.")


def _members():
    return Member.objects.filter(is_active=True, firm__isnull=False).select_related("firm").order_by("pk")


def _mail(member, day, site) -> EmailMessage | None:
    needs = needs_of(member, day)
    if not needs:
        return None
    lines = [f"{need.words}\n{site}{need.link}" for need in needs]
    body = "\n\n".join(
        [
            f"{member.firm}, {day:%-d %B %Y}",
            *lines,
            "This is all that needs you; nothing else was sent today.",
        ]
    )
    how_many = "1 thing needs you" if len(needs) == 1 else f"{len(needs)} things need you"
    return EmailMessage(f"{member.firm}: {how_many}", body, to=[member.email])
