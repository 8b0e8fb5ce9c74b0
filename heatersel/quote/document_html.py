"""The quote as one HTML page that needs nothing beside itself, on a phone or printed.

It says exactly what the paper says; both place the same finished texts.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path

from heatersel.quote.fingerprint import short
from heatersel.quote.letter import CautionText, Letter, OfferCard, Picture, letter
from heatersel.quote.quote import Quote
from heatersel.quote.record import quote_record
from heatersel.quote.working import Table, Working, working

__all__ = ["quote_html"]

_MIME = {".svg": "image/svg+xml", ".png": "image/png"}
_STYLE = """
:root { color-scheme: light; --ground: #faf6ef; --ink: #12312f; --quiet: #48605d;
  --copper: #a8521f; --tint: #f4eadb; --hair: #b9aa95; }
* { box-sizing: border-box; }
body { margin: 0; padding: 1.5rem 1rem 3rem; background: var(--ground); color: var(--ink);
  font: 1.0625rem/1.5 'Libertinus Serif', Georgia, 'Times New Roman', serif;
  font-variant-numeric: lining-nums tabular-nums; }
main { max-width: 60rem; margin: 0 auto; }
.head { display: flex; flex-wrap: wrap; justify-content: space-between; gap: .5rem 2rem; }
.head img { max-height: 3rem; vertical-align: middle; margin-right: .75rem; }
.head p { margin: 0; }
h1 { font-size: 2rem; line-height: 1.2; font-weight: 600; margin: 1.25rem 0 .5rem; }
h2 { font-size: 1.25rem; color: var(--copper); margin: 2rem 0 .5rem; }
h3 { font-size: 1.0625rem; margin: 1.5rem 0 .25rem; }
p { margin: .4rem 0; } ul, ol { margin: .4rem 0; padding-left: 1.25rem; }
.quiet { color: var(--quiet); font-size: .875em; }
.advice { font-weight: 700; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .35rem .6rem; font-weight: 400;
  border-top: 1px solid var(--hair); }
thead th { border-top: 0; font-weight: 700; }
.offers { table-layout: fixed; }
.offers thead th { border-top: 2px solid var(--ink); }
.offers thead th:first-child { border-top: 0; width: 6rem; }
.offers thead th.chosen { border-top: 5px solid var(--copper); }
.offers .chosen { background: var(--tint); }
.letter { font-size: 1.75rem; color: var(--copper); margin-right: .4rem; }
.price { font-size: 1.5rem; font-weight: 700; display: block; }
.figures td, .figures th:not(:first-child) { text-align: right; }
.sum td, .sum th { font-weight: 700; }
.names { display: none; }
svg { width: 100%; min-width: 30rem; max-width: 46rem; height: auto; display: block; }
.narrow { display: none; } .narrow svg { min-width: 0; }
.pair { display: grid; grid-template-columns: 1fr 1fr; gap: 0 2rem; }
.sign { margin-top: 2rem; } .sign p { margin-bottom: 2.5rem; }
.sign .line { border-top: 1px solid var(--ink); margin: 0; }
.box { display: inline-block; width: .9em; height: .9em; border: 1px solid var(--ink);
  margin: 0 .25em 0 .9em; vertical-align: -.1em; }
@media (max-width: 44rem) {
  .pair { grid-template-columns: 1fr; }
  .narrow { display: block; } .or-narrow { display: none; }
  .offers, .offers tbody, .offers tr, .offers th, .offers td { display: block; width: 100%; }
  .offers thead { display: none; } .names { display: block; }
  .offers tbody th { font-weight: 700; border-top: 2px solid var(--ink); margin-top: 1rem; }
  .offers td { border-top: 0; }
  .offers td::before { content: attr(data-offer); font-weight: 700; color: var(--copper);
    margin-right: .5rem; }
  .offers td:empty { display: none; }
  .price { display: inline; }
}
@media print {
  @page { margin: 15mm; }
  body { background: none; padding: 0; font-size: 9.5pt; line-height: 1.3; }
  h1 { font-size: 18pt; } h2 { font-size: 12pt; margin-top: 1.2em; break-after: avoid; }
  .working { break-before: page; } tr, .caution { break-inside: avoid; }
  .chosen { print-color-adjust: exact; }
}
"""


def quote_html(quote: Quote) -> str:
    """Return the quote as one self-contained page.

    Parameters
    ----------
    quote : Quote
        The quote.

    Returns
    -------
    str
        HTML without scripts; every text that comes from a customer or a company is escaped.
    """
    page, rest = letter(quote), working(quote)
    mark = short(quote_record(quote)["content_digest"])
    return (
        f'<!doctype html>\n<html lang="{page.language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'; img-src data:\">\n"
        f"<title>{escape(page.title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<main>\n"
        f"{_front(page, _logo(quote))}\n{_working(rest)}\n"
        f'<p class="quiet">Quote {mark}</p>\n</main>\n</body>\n</html>\n'
    )


def _logo(quote: Quote) -> str:
    content = quote.policy.logo_bytes
    if not content:
        return ""
    mime = _MIME.get(Path(quote.policy.wording.logo).suffix.lower(), "image/jpeg")
    data = base64.b64encode(content).decode()
    return f'<img src="data:{mime};base64,{data}" alt="">'


def _front(page: Letter, logo: str) -> str:
    about = " · ".join(text for text in (page.contact, page.licence) if text)
    steps, more = _list(page.next_steps, "ol"), page.n_more_cautions
    return "\n".join(
        (
            '<header class="head">',
            f"<div>{logo}<strong>{escape(page.company)}</strong>{_p(about, 'quiet')}</div>",
            f"<div>{_p(page.dated)}{_p(page.valid, 'quiet')}</div></header>",
            f"<h1>{escape(page.heading)}</h1>",
            _p(page.greeting),
            _p(page.house),
            _p(page.advice, "advice"),
            _offers(page.cards),
            _picture(page.picture, 2) if page.picture else "",
            "<h2>What keeps it safe</h2>" if page.cautions else "",
            _cautions(page.cautions),
            _p(f"{more} more in the working." if more else "", "quiet"),
            '<div class="pair"><div><h2>What is included</h2>',
            f"{_list(page.included)}</div>",
            f"<div><h2>What happens next</h2>{steps}</div></div>" if steps else "</div>",
            "".join(_p(text, "quiet") for text in page.terms),
            _signatures(page),
            _p(page.local_rules, "quiet"),
        )
    )


def _offers(cards: Sequence[OfferCard]) -> str:
    heads = "".join(f'<th scope="col"{_chosen(card)}>{_offer_head(card)}</th>' for card in cards)
    rows = [
        ("Price", [_price(card) for card in cards]),
        ("To run", [escape(card.running) for card in cards]),
        ("Hot water", [escape(card.warm) for card in cards]),
        ("Life", [escape(card.life) for card in cards]),
        ("Compared", [escape(card.compared) for card in cards]),
        ("Extra work", ["<br>".join(map(escape, (*card.also, *card.notes))) for card in cards]),
    ]
    body = "".join(
        f'<tr><th scope="row" class="quiet">{name}</th>'
        + "".join(
            f'<td data-offer="{card.letter}"{_chosen(card)}>{cell}</td>'
            for card, cell in zip(cards, cells, strict=True)
        )
        + "</tr>"
        for name, cells in rows if any(cells)
    )  # fmt: skip
    named = _list([f"{card.letter}: {card.name}" for card in cards])
    return (
        f'<div class="names">{named}</div>'
        f'<table class="offers"><thead><tr><th scope="col" class="quiet">Offer</th>{heads}</tr>'
        f"</thead><tbody>{body}</tbody></table>"
    )


def _chosen(card: OfferCard) -> str:
    return ' class="chosen"' if card.recommended else ""


def _offer_head(card: OfferCard) -> str:
    advice = "We recommend it: " if card.recommended else ""
    return (
        f'<span class="letter">{card.letter}</span>{escape(card.name)}'
        f'<br><span class="quiet">{advice}{escape(card.why)}</span>'
    )


def _price(card: OfferCard) -> str:
    return (
        f'<span class="price">{escape(card.price)}</span> '
        f'<span class="quiet">{escape(card.price_note)}</span>'
    )


def _picture(picture: Picture, level: int) -> str:
    title = f"<h{level}>{escape(picture.title)}</h{level}>{_p(picture.caption, 'quiet')}"
    other = " or-narrow" if picture.narrow else ""
    narrow = f'<div class="narrow">{_drawn(picture.narrow, picture)}</div>' if other else ""
    return f'{title}<div class="wide{other}">{_drawn(picture.svg, picture)}</div>{narrow}'


def _drawn(svg: str, picture: Picture) -> str:
    return svg.replace("<svg ", f'<svg role="img" aria-label="{escape(picture.alt)}" ', 1)


def _cautions(cautions: Iterable[CautionText]) -> str:
    items = "".join(f"<li>{_marks(caution)}{escape(caution.text)}</li>" for caution in cautions)
    return f"<ul>{items}</ul>" if items else ""


def _marks(caution: CautionText) -> str:
    letters = caution.letters.replace(" ", ", ")
    return f"<strong>Offer {letters}:</strong> " if letters else ""


def _signatures(page: Letter) -> str:
    boxes = "".join(f'<span class="box"></span>{card.letter}' for card in page.cards)
    return (
        f'<div class="pair sign"><div><p>{escape(page.sign_customer)}{boxes}</p>'
        '<p class="line quiet">Your name, signature and date</p></div>'
        f'<div><p>{escape(page.sign_company)}</p><p class="line quiet">Signature and date</p>'
        "</div></div>"
    )


def _working(rest: Working) -> str:
    names = "; ".join(f"{a}: {b}" for a, b in zip(rest.letters, rest.names, strict=True))
    parts = [
        f'<section class="working"><h1>{escape(rest.heading)}</h1>',
        "<h2>Price, line by line</h2>", _prices(rest),
        _p(f"{names}. {rest.price_note}", "quiet"),
        "<h2>What it costs to run and to own</h2>", _table(rest.money, "figures"),
        *(_p(note, "quiet") for note in rest.money_notes),
        _picture(rest.money_picture, 3) if rest.money_picture else "",
        "<h2>Size</h2>", _p(rest.size_note), _picture(rest.size_picture, 3), _table(rest.size),
        "<h2>Cautions</h2>", *(_caution(caution) for caution in rest.cautions),
        _titled("Still to measure on site", _table(rest.to_measure)), _own_rules(rest),
        _titled("What we assumed", _table(rest.assumptions)),
        _titled("Versions and sources", _table(rest.versions)), "</section>",
    ]  # fmt: skip
    return "\n".join(part for part in parts if part)


def _own_rules(rest: Working) -> str:
    parts = _table(rest.departures) if rest.departures.rows else ""
    if rest.opinions:
        parts += _p("A colleague looks at this quote before the work starts, since: "
                    f"{'; '.join(rest.opinions)}.")  # fmt: skip
    if rest.unpriced:
        parts += _p(f"Left out for want of a price: {'; '.join(rest.unpriced)}.")
    return _titled("Our own rules", parts)


def _titled(title: str, content: str) -> str:
    return f"<h2>{title}</h2>{content}" if content else ""


def _prices(rest: Working) -> str:
    heads = "".join(f'<th scope="col">{name}</th>' for name in rest.letters)
    rows = []
    for entry in rest.prices:
        cells = "".join(
            f'<td>{escape(cell.amount)} <span class="quiet">{escape(cell.row)}</span></td>'
            for cell in entry.cells
        )
        why = f'<br><span class="quiet">{escape(entry.why)}</span>' if entry.why else ""
        strong = ' class="sum"' if entry.strong else ""
        rows.append(f'<tr{strong}><th scope="row">{escape(entry.text)}{why}</th>{cells}</tr>')
    return (
        f'<div class="wide"><table class="figures"><thead><tr><th scope="col">Line</th>{heads}'
        f"</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
    )


def _caution(caution: CautionText) -> str:
    kind = "<strong>Must.</strong>" if caution.must else "Good to know."
    return (
        f'<p class="caution">{_marks(caution)}{kind} {escape(caution.text)}<br>'
        f'<span class="quiet">{escape(caution.trade)} Source: {escape(caution.source)}.</span></p>'
    )


def _table(table: Table, kind: str = "") -> str:
    if not table.rows:
        return ""
    heads = "".join(f'<th scope="col">{escape(name)}</th>' for name in table.headings)
    rows = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>'
        + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:]) + "</tr>"
        for row in table.rows
    )  # fmt: skip
    style = f' class="{kind}"' if kind else ""
    return (
        f'<div class="wide"><table{style}><thead><tr>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>"
    )


def _list(items: Iterable[str], kind: str = "ul") -> str:
    inner = "".join(f"<li>{escape(item)}</li>" for item in items)
    return f"<{kind}>{inner}</{kind}>" if inner else ""


def _p(text: str, style: str = "") -> str:
    kind = f' class="{style}"' if style else ""
    return f"<p{kind}>{escape(text)}</p>" if text else ""
