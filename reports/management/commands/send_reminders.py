"""One e-mail a member, with all that needs them, and none to whoever nothing needs."""

from django.conf import settings
from django.core.mail import get_connection
from django.core.management.base import BaseCommand
from django.utils import timezone

from reports.audit.reminders import due_reminders

CONSOLE = "django.core.mail.backends.console.EmailBackend"


class Command(BaseCommand):
    help = (
        "Send each member one e-mail with what needs them, as their first page shows it. Run it every day: "
        "it sends only where something new waits or a week has passed, and not to who turned it off. Without "
        "EMAIL_URL the mails are printed instead, and not remembered."
    )

    def add_arguments(self, parser):
        parser.add_argument("--site", required=True, help="address of the site: https://records.example.com")

    def handle(self, *args, site, **options):
        sends = settings.MAIL_IS_SET
        count = 0
        with get_connection() if sends else get_connection(CONSOLE, stream=self.stdout) as connection:
            for mail, reminder in due_reminders(timezone.localdate(), site.rstrip("/")):
                connection.send_messages([mail])
                count += 1
                if sends:
                    reminder.save()
        self.stdout.write(f"{count} sent." if sends else f"{count} to send.")
