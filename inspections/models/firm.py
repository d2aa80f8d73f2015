"""The firm and who works there."""

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from simple_history.models import HistoricalRecords

from inspections.enums import Role
from inspections.querysets import FirmQuerySet
from inspections.words import SAMPLE_NOTICE


class Firm(models.Model):
    """``sample_of``: the member who opened this firm to play with and to throw away; it is set when the firm
    is made and never afterwards, which the database sees to. Nothing in such a firm is a record."""

    name = models.CharField(max_length=120, unique=True)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    requires_second_factor = models.BooleanField(default=False)
    sample_of = models.OneToOneField(
        "Member", models.PROTECT, null=True, blank=True, editable=False, related_name="sample"
    )

    history = HistoricalRecords()
    FIRM_PATH = "pk"
    objects = FirmQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [models.CheckConstraint(condition=~Q(name=""), name="firm_has_a_name")]

    def __str__(self):
        return self.name

    @property
    def is_sample(self) -> bool:
        return self.sample_of_id is not None

    @property
    def notice(self) -> str:
        """What every sheet that leaves the firm says before anything else; nothing where it is a record."""
        return SAMPLE_NOTICE if self.is_sample else ""


class MemberManager(BaseUserManager.from_queryset(FirmQuerySet)):
    def create_user(self, email, password=None, **fields):
        member = self.model(email=self.normalize_email(email).lower(), **fields)
        member.set_password(password)
        member.full_clean(exclude=["password"])
        member.save(using=self._db)
        return member

    def create_superuser(self, email, password=None, **fields):
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)

    def get_by_natural_key(self, email):
        return self.get(email__iexact=email)


class Member(AbstractBaseUser, PermissionsMixin):
    """One person's sign-in at one firm. Whoever runs the service has no firm and sees only the admin."""

    firm = models.ForeignKey(Firm, models.PROTECT, null=True, blank=True, related_name="members")
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=20, choices=Role, default=Role.INSPECTOR)
    qualification = models.CharField(max_length=200, blank=True)
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField("may use the admin", default=False)
    joined_at = models.DateTimeField(auto_now_add=True)

    history = HistoricalRecords(excluded_fields=["password", "last_login"])
    FIRM_PATH = "firm"
    USERNAME_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = MemberManager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(role__in=Role.values), name="member_role_known"),
            models.CheckConstraint(
                condition=Q(firm__isnull=False) | Q(is_superuser=True), name="member_has_a_firm"
            ),
            models.CheckConstraint(condition=Q(email=Lower(F("email"))), name="member_email_lower_case"),
        ]

    def __str__(self):
        return self.name

    @property
    def is_in_sample(self) -> bool:
        """Whether this is one of a sample firm's people, as whom nobody signs in."""
        return self.firm is not None and self.firm.is_sample

    def get_short_name(self):
        return self.name.split()[0]
