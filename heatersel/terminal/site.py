"""The site sheet on a terminal: what is still to be measured, in walking order."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from heatersel.cautions.site_sheet import SiteSheet
from heatersel.terminal.layout import print_hanging

__all__ = ["print_site_sheet"]


def print_site_sheet(console: Console, sheet: SiteSheet) -> None:
    """Print a site sheet."""
    console.print(Text(f"Still to be measured: {sheet.title or sheet.place}", style="bold"))
    if not sheet.lines:
        console.print("Nothing is missing.")
    number = 0
    for station in sheet.stations:
        console.print()
        console.print(Text(station.name, style="bold"))
        for line in station.lines:
            number += 1
            camera = " (photo)" if line.question.photo else ""
            print_hanging(console, f" {number:>2} [ ] ", f"{line.question.question}{camera}")
            reason = f"Tells {'; '.join(line.reasons)}. For {line.matters_in_words}."
            print_hanging(console, "        ", reason, style="dim")
    console.print()
    print_hanging(console, "", sheet.reminder, style="dim")
