"""Step one: where the house is, who lives there and how they use hot water."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard import forms
from dashboard.controls import Field
from dashboard.parts.answer import answer
from dashboard.view import View, regions
from heatersel.reference import records

__all__ = ["ask", "tell"]

Parts = list[Any]

_HEATERS = (
    ("gas-tank", "storage", "natural_gas"), ("electric-tank", "storage", "electricity"),
    ("propane-tank", "storage", "propane"), ("oil-tank", "storage", "fuel_oil"),
    ("gas-tankless", "tankless", "natural_gas"), ("propane-tankless", "tankless", "propane"),
    ("heat-pump", "heat_pump_storage", "electricity"),
    ("electric-tankless", "tankless", "electricity"),
)  # fmt: skip
_MORE = (
    "household.bedrooms", "household.fixtures.bathtub", "household.fixtures.soaking_tub",
    "household.fixture_flow.shower", "household.peak_hour.shower", "household.guests",
    "household.days_away", "household.laundry_day", "household.use_temperature",
    "preferences.setpoint",
)  # fmt: skip


def ask(view: View) -> Parts:
    """Return the questions of this step."""
    t = view.t
    return [
        html.H1(t("Who needs hot water, and where?"), tabIndex="-1"),
        html.P(t("Five questions. The answer shows after the first two and follows every change."),
               className="lead"),
        _place(view),
        _people(view),
        _heater_now(view),
        _showers(view),
        _care(view),
        forms.fold(t("More about how you use hot water"),
                   *(forms.field_at(view, path) for path in _MORE)),
        html.P(html.A(t("Next: the house"), href="#/house", className="onward")),
    ]  # fmt: skip


def tell(view: View) -> Parts:
    """Return the answer as far as it is known."""
    return answer(view)


def _place(view: View) -> Field:
    t, path = view.t, "place.climate"
    names = {row["region"]: row["name"] for row in records("prices/regions", {})}
    groups = [
        {
            "label": names.get(region, region),
            "options": [
                {"value": place, "label": place, "patch": {path: place}} for place in places
            ],
        }
        for region, places in regions()
    ]
    return Field(
        id=forms.identifier(path), kind="pick", label=t("1. Where is the house?"),
        hint=t("The nearest place in the list. It tells how cold the water arrives."),
        empty=t("Choose a place"), groups=groups, value=forms.told_at(view, path),
        error=view.fault_at(path), revision=view.told.revision,
    )  # fmt: skip


def _people(view: View) -> html.Fieldset:
    t, path = view.t, "household.occupants"
    told = forms.told_at(view, path)
    groups = told if isinstance(told, dict) else {"adults": told}
    said = (
        ("adults", t("Adults"), None),
        ("teenagers", t("Teenagers"), t("They shower longest.")),
        ("children", t("Children"), t("Under about 12.")),
    )
    fields = [
        Field(
            id=forms.identifier(f"{path}.{name}"), kind="count", label=label, hint=hint,
            path=f"{path}.{name}", value=groups.get(name), min=0, max=30, example="0",
            revision=view.told.revision, less=t("Fewer: {what}", what=label),
            more=t("More: {what}", what=label),
            base={path: {"adults": told}} if isinstance(told, int) else None,
        )
        for name, label, hint in said
    ]  # fmt: skip
    fault = view.fault_at(path) or view.fault_at("household")
    error = [html.P(fault, className="error")] if fault else []
    return html.Fieldset(
        [html.Legend(t("2. Who lives there?")), html.Div(fields, className="abreast"), *error],
        className="group",
    )


def _heater_now(view: View) -> html.Div:
    t = view.t
    labels = {
        "gas-tank": t("Gas tank"), "electric-tank": t("Electric tank"),
        "propane-tank": t("Propane tank"), "oil-tank": t("Oil tank"),
        "gas-tankless": t("Gas, no tank"), "propane-tankless": t("Propane, no tank"),
        "heat-pump": t("Heat pump tank"), "electric-tankless": t("Electric, no tank"),
    }  # fmt: skip
    kind, source = (forms.told_at(view, f"existing.{key}") for key in ("kind", "energy_source"))
    now = next(
        (id_ for id_, k, s in _HEATERS if k == (kind or "storage") and s == source),
        "none" if source is None else None,
    )
    options = [
        {"value": id_, "label": labels[id_],
         "patch": {"existing.kind": k, "existing.energy_source": s, **_fuel_too(view, s)}}
        for id_, k, s in _HEATERS
    ]  # fmt: skip
    options.append(
        {"value": "none", "label": t("Nothing, or not sure"), "patch": {"existing": None}}
    )
    fuels = forms.told_at(view, "home.fuels")
    held = set(fuels) if isinstance(fuels, list) else {"electricity", source} - {None}
    has = Field(
        id="f-home-fuels", kind="ticks", label=t("What else can the house use?"),
        hint=t("Tick what reaches the house already."), path="home.fuels", value=sorted(held),
        options=[
            {"value": "natural_gas", "label": t("Natural gas")},
            {"value": "propane", "label": t("Propane")},
            {"value": "fuel_oil", "label": t("Heating oil")},
            {"value": "electricity", "label": t("Electricity")},
        ],
        error=view.fault_at("home.fuels") or view.fault_at("existing.energy_source"),
        revision=view.told.revision,
    )  # fmt: skip
    kind_now = forms.choice(view, "f-existing", t("3. What heats the water now?"), options, now,
                            look="cards")  # fmt: skip
    size = [
        forms.field_at(view, "existing.volume", t("How large is that tank?"),
                       t("It is on the label. Leave it empty if you cannot read it.")),
    ] if source and kind != "tankless" else []  # fmt: skip
    return html.Div([kind_now, *size, has], className="group")


def _fuel_too(view: View, source: str) -> dict[str, Any]:
    """Return the patch that keeps the list of fuels free of contradiction."""
    fuels = forms.told_at(view, "home.fuels")
    if not isinstance(fuels, list) or source in fuels:
        return {}
    return {"home.fuels": [*fuels, source]}


def _showers(view: View) -> Field:
    t, path = view.t, "household.simultaneous.shower"
    installed = forms.told_at(view, "household.fixtures.shower")
    options = []
    for n in (1, 2, 3, 4):
        patch: dict[str, Any] = {path: n}
        if not isinstance(installed, int) or installed < n:
            patch["household.fixtures.shower"] = n
        label = t("One") if n == 1 else t("Two") if n == 2 else t("Three") if n == 3 else t("Four")
        options.append({"value": str(n), "label": label, "patch": patch})
    told = forms.told_at(view, path)
    return forms.choice(
        view,
        "f-showers",
        t("4. How many showers run at the same time?"),
        options,
        None if told is None else str(told),
        error=view.fault_at(path),
        hint=t("On the busiest morning. This decides how large a heater has to be."),
    )


def _care(view: View) -> Field:
    t, path = view.t, "home.vulnerable_occupants"
    options = [
        {"value": "yes", "label": t("Yes"), "patch": {path: True}},
        {"value": "no", "label": t("No"), "patch": {path: False}},
        {"value": "open", "label": t("Not sure"), "patch": {path: None}},
    ]
    said = {True: "yes", False: "no"}.get(forms.told_at(view, path))
    return forms.choice(
        view,
        "f-care",
        t("5. Does somebody burn or fall ill easily?"),
        options,
        said,
        hint=t("A baby, an old person, somebody who feels heat late or is often ill."),
    )
