"""For the supervisor who has lost the only second factor, and has nobody else to take it off."""

from django.core.management.base import BaseCommand, CommandError

from inspections.models import Member
from inspections.services.members import remove_second_factor


class Command(BaseCommand):
    help = "Remove the second factor of one member. Make sure who is asking."

    def add_arguments(self, parser):
        parser.add_argument("email")

    def handle(self, *args, email, **options):
        row = Member.objects.filter(email=email.lower()).first()
        if row is None:
            raise CommandError(f"Nobody signs in as {email}.")
        remove_second_factor(row=row, member=None)
        self.stdout.write(f"{row} signs in with the password alone until another is set up.")
