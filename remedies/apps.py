from django.apps import AppConfig


class RemediesConfig(AppConfig):
    name = "remedies"
    verbose_name = "What is across the circuits"

    def ready(self):
        from inspections.checking import STANDING_LEAKAGE
        from inspections.intake.result import LOADS
        from inspections.services.intake_plan import TAKERS
        from remedies.intake import plan_loads
        from remedies.leakage import standing_leakage_ma

        TAKERS[LOADS] = plan_loads
        STANDING_LEAKAGE.append(standing_leakage_ma)
