"""The site sheet as a page to print and fill in with a pencil."""

from __future__ import annotations

from html import escape

from heatersel.cautions.site_sheet import SheetLine, SiteSheet, Station

__all__ = ["site_sheet_html"]

_PAGE_LINES = 33  # so many lines fill a Letter page at the largest print
_LARGEST_PT, _SMALLEST_PT = 8.6, 5.6

_STYLE = """
:root { color-scheme: light; --ground: #faf6ef; --ink: #12312f; --quiet: #48605d;
  --line: #b9aa95; --copper: #a8521f; }
* { box-sizing: border-box; }
body { margin: 0; padding: 1.25rem; background: var(--ground); color: var(--ink);
  font: 1rem/1.4 system-ui, sans-serif; font-variant-numeric: tabular-nums; }
main { max-width: 62rem; margin: 0 auto; }
h1 { font-size: 1.5rem; margin: 0; font-weight: 650; }
header p { margin: .25rem 0 1rem; color: var(--quiet); max-width: 46rem; }
.walk { columns: 2; column-gap: 2rem; }
section { margin: 0 0 1rem; }
h2 { font-size: 1rem; margin: 0 0 .25rem; color: var(--copper); font-weight: 650;
  border-bottom: 2px solid var(--copper); break-after: avoid; }
ol { list-style: none; margin: 0; padding: 0; }
li { break-inside: avoid; padding: .35rem 0 .15rem; border-bottom: 1px solid var(--line);
  display: grid; grid-template-columns: 1fr 6.5rem; gap: 0 .75rem; }
.ask { font-weight: 600; }
.answer { border-bottom: 1.5px solid var(--ink); align-self: end; min-height: 1.5rem; }
.why { grid-column: 1 / -1; color: var(--quiet); font-size: .85rem; }
.photo { border: 1.5px solid currentColor; border-radius: .2rem; padding: 0 .3rem;
  font-size: .75rem; font-weight: 400; white-space: nowrap; }
footer { margin-top: 1rem; color: var(--quiet); font-size: .85rem; max-width: 46rem; }
@media (max-width: 44rem) { .walk { columns: 1; } body { padding: 1rem .75rem; } }
@media print {
  @page { margin: 9mm; }
  body { padding: 0; background: none; font-size: var(--print); line-height: 1.22; }
  h1 { font-size: 1.7em; } h2 { font-size: 1.1em; } header p { margin-bottom: .6em; }
  .walk { columns: 3; column-gap: 5mm; } section { margin-bottom: .6em; }
  li { padding: .22em 0 .1em; grid-template-columns: 1fr 15mm; gap: 0 2mm; }
  .why { font-size: .86em; } .answer { min-height: 1.2em; border-bottom-width: .6pt; }
  .photo { font-size: .8em; border-width: .6pt; padding: 0 .15em; }
  footer { font-size: .9em; margin-top: .6em; }
}
"""


def site_sheet_html(sheet: SiteSheet) -> str:
    """Return the sheet as one self-contained page.

    Parameters
    ----------
    sheet : SiteSheet
        The sheet.

    Returns
    -------
    str
        HTML without outside files; on paper it is laid out for one page in three columns.
    """
    title = escape(sheet.title or "Site visit")
    # the area of a line goes with the square of its type
    share = (_PAGE_LINES / max(len(sheet.lines), 1)) ** 0.5
    print_pt = max(_SMALLEST_PT, min(_LARGEST_PT, _LARGEST_PT * share))
    walk = "".join(_station(station) for station in sheet.stations)
    body = (
        f'<div class="walk">{walk}</div>'
        if sheet.stations
        else "<p>Nothing is left to measure in this house.</p>"
    )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Site sheet: {title}</title>\n<style>{_STYLE}</style>\n</head>\n"
        f'<body style="--print: {print_pt:.1f}pt">\n<main>\n'
        f"<header><h1>What to look at on site</h1>\n<p>{title}, {escape(sheet.place)}. Walk from "
        "the street to the fixtures; write each answer on its line and take the photos that are "
        f"marked. {len(sheet.lines)} things are not known yet.</p></header>\n{body}\n"
        f"<footer>{escape(sheet.reminder)}</footer>\n</main>\n</body>\n</html>\n"
    )


def _station(station: Station) -> str:
    lines = "".join(_line(line) for line in station.lines)
    return f"<section><h2>{escape(station.name.capitalize())}</h2><ol>{lines}</ol></section>"


def _line(line: SheetLine) -> str:
    photo = line.question.photo
    mark = f' <span class="photo">{escape(photo)}</span>' if photo else ""
    reasons = "; ".join(line.reasons)
    why = f"{reasons[:1].upper()}{reasons[1:]}. Matters for {line.matters_in_words}."
    return (
        f'<li><span class="ask">{escape(line.question.question)}{mark}</span>'
        f'<span class="answer"></span><span class="why">{escape(why)}</span></li>'
    )
