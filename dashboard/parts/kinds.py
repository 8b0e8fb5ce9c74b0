"""What each kind of heater is, for somebody who has never seen one."""

from __future__ import annotations

from dashboard.view import View
from heatersel.heaters.heater import Heater, HeaterClass

__all__ = ["kind_words"]


def kind_words(view: View, heater: Heater) -> str:
    """Return in one or two short sentences how a heater works and what comes with it."""
    t = view.t
    return {
        HeaterClass.ATMOSPHERIC_STORAGE: t(
            "A flame under a tank keeps water hot. Its smoke rises up a chimney by itself."
        ),
        HeaterClass.POWER_VENTED_STORAGE: t(
            "A flame under a tank keeps water hot. A fan blows the smoke out through a pipe."
        ),
        HeaterClass.CONDENSING_STORAGE: t(
            "A flame inside a tank, cooled so far that little heat is lost. It needs a fan, a"
            " plastic pipe to the outside and a drain."
        ),
        HeaterClass.OIL_STORAGE: t("An oil burner under a tank, on a chimney. It heats up fast."),
        HeaterClass.ELECTRIC_STORAGE: t(
            "A tank with two electric elements, like a large kettle. Simple, but dear to run where"
            " electricity is dear."
        ),
        HeaterClass.HEAT_PUMP_240V: t(
            "A tank with a small machine on top that moves warmth from the room into the water. It"
            " uses about a third of the electricity, cools the room and hums."
        ),
        HeaterClass.HEAT_PUMP_120V: t(
            "A tank that moves warmth from the room into the water and runs on an ordinary outlet."
            " It uses little electricity but refills slowly."
        ),
        HeaterClass.HEAT_PUMP_SPLIT: t(
            "A tank indoors, and a machine outdoors that takes warmth from the air even in frost."
            " It uses about a third of the electricity."
        ),
        HeaterClass.TANKLESS_NON_CONDENSING: t(
            "A box on the wall that heats water as it flows. It never runs out, but only so many"
            " taps can run at once, fewer in winter."
        ),
        HeaterClass.TANKLESS_CONDENSING: t(
            "A box on the wall that heats water as it flows and wastes little. It never runs out,"
            " but only so many taps can run at once, fewer in winter."
        ),
        HeaterClass.TANKLESS_ELECTRIC: t(
            "A box on the wall that heats water as it flows, with more power than most houses can"
            " give it."
        ),
    }[heater.heater_class]
