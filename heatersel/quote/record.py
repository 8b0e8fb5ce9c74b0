"""A quote as plain fields: what `--json` prints, what the register keeps, what an audit replays."""

from __future__ import annotations

from typing import Any

from heatersel.job.write import job_tables
from heatersel.quote.departures import Departure
from heatersel.quote.fingerprint import fingerprint, plain
from heatersel.quote.money import amount_of
from heatersel.quote.pricing import MissingPrice, Price
from heatersel.quote.quote import Offer, Quote

__all__ = ["SCHEMA", "content_digest", "quote_record"]

SCHEMA = "heatersel.quote/1"

_OF_THE_VISIT = ("by", "date", "valid_until", "content_digest", "file")
"""Fields that differ between two plumbers who quote the same job."""


def quote_record(quote: Quote, file: str = "") -> dict[str, Any]:
    """Return a quote as plain fields.

    Parameters
    ----------
    quote : Quote
        The quote.
    file : str
        Document that was written, empty if none was.

    Returns
    -------
    dict
        Amounts in the currency of the price book, quantities in SI units, floats at nine digits.
        `content_digest` is equal for two plumbers who quote the same job at the same prices,
        whoever they are and whenever they do it.
    """
    job, book, policy = quote.job, quote.book, quote.policy
    date = quote.request.date
    fields = {
        "schema": SCHEMA,
        "title": job.title,
        "place": job.place.climate,
        "by": quote.request.by,
        "date": date.isoformat(),
        "valid_until": quote.valid_until.isoformat(),
        "currency": book.currency,
        "offers": [_offer(offer) for offer in quote.offers],
        "recommended": quote.recommended.option.id,
        "departures": [_departure(item) for item in quote.departures],
        "second_opinion": list(quote.second_opinion),
        "unpriced": [
            {"option": item.option_id, "name": item.name, "missing": _missing(item.missing)}
            for item in quote.unpriced
        ],
        "policy": {"title": policy.title, "version": policy.version, "fingerprint": policy.digest},
        "price_book": {
            "title": book.setting("name", date) or book.file, "file": book.file,
            "version": book.setting("version", date), "fingerprint": book.digest,
        },
        "reviewed_only": policy.release.reviewed_only,
        "request": {"offers": list(quote.request.offers), "without": list(quote.request.without)},
        "inputs": job_tables(job),
        "provenance": dict(quote.comparison.provenance),
        "fingerprint": quote.fingerprint,
        "file": file,
    }  # fmt: skip
    record: dict[str, Any] = plain(fields)
    record["content_digest"] = content_digest(record)
    return record


def content_digest(record: dict[str, Any]) -> str:
    """Return the fingerprint of a record without who made it and when."""
    return fingerprint({key: value for key, value in record.items() if key not in _OF_THE_VISIT})


def _offer(offer: Offer) -> dict[str, Any]:
    option, cost, price = offer.option, offer.cost, offer.price
    band = cost.band
    complete = price.total_cents is not None
    return {
        "letter": offer.letter,
        "option": option.id,
        "name": option.heater.name,
        "heater_class": option.heater.heater_class.value,
        "energy_source": option.heater.energy_source.value,
        "basis": [rule.value for rule in offer.basis],
        "recommended": offer.recommended,
        **_price(price),
        "incentives": [item.as_dict() for item in cost.incentives] if complete else [],
        "installed_after_incentives": cost.installed if complete else None,
        "per_year": cost.total_per_year,
        "per_year_low": offer.running.low,
        "per_year_high": offer.running.high,
        "life_years": cost.life_years,
        "life_cycle": cost.life_cycle if complete else None,
        "life_cycle_p10": band.p10 if band else None,
        "life_cycle_p90": band.p90 if band else None,
        "cheapest_probability": band.cheapest_probability if band else None,
        "co2_kg_per_year": option.co2_kg_per_year,
        "sizing": {
            "measure": option.sizing.measure, "required": option.sizing.required,
            "available": option.sizing.available, "unit": option.sizing.unit,
            "margin_frac": option.sizing.margin_frac, "verdict": option.sizing.verdict.value,
        },
        "cautions": [
            {"id": c.id, "severity": c.severity.value, "message": c.message}
            for c in option.cautions
        ],
        "to_measure": [item.field for item in option.to_measure],
    }  # fmt: skip


def _price(price: Price) -> dict[str, Any]:
    def amount(cents: int | None) -> float | None:
        return None if cents is None else amount_of(cents)

    return {
        "lines": [
            {
                "text": line.text, "amount": amount(line.amount_cents), "row": line.row,
                "rows": list(line.rows), "file_line": line.file_line, "item": line.item,
                "kind": line.kind.value, "quantity": line.quantity,
                "goods": amount(line.goods_cents), "labour": amount(line.labour_cents),
                "taxed": line.taxed, "why": line.why,
            }
            for line in price.lines
        ],
        "subtotal": amount(price.subtotal_cents),
        "taxes": [
            {
                "text": tax.text, "row": tax.row, "percent": str(tax.percent), "on": tax.on.value,
                "base": amount(tax.base_cents), "amount": amount(tax.amount_cents),
            }
            for tax in price.taxes
        ],
        "tax": amount(price.tax_cents),
        "total": amount(price.total_cents),
        "missing": _missing(price.missing),
    }  # fmt: skip


def _missing(missing: tuple[MissingPrice, ...]) -> list[dict[str, str]]:
    return [{"item": m.item, "text": m.text, "why": m.why} for m in missing]


def _departure(item: Departure) -> dict[str, Any]:
    return {"rule": item.rule, "policy_says": item.policy_says, "quote_has": item.quote_has,
            "reason": item.reason}  # fmt: skip
