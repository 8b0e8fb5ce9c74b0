"""Regenerate what the documents quote: command outputs in the README and tables under docs/.

Run as ``python -m heatersel.docs``; ``--check`` only says whether anything is out of date.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

__all__ = ["main", "refreshed"]

_BLOCK = re.compile(r"(<!-- output: (?P<command>.+?) -->\n```\n).*?(```\n<!-- end -->)", re.DOTALL)


def refreshed(text: str) -> str:
    """Return a document with each marked block replaced by its command's present output."""
    return _BLOCK.sub(lambda m: m.group(1) + _output(m["command"]) + m.group(3), text)


def _output(command: str) -> str:
    """Return what a command prints into a pipe, without trailing spaces."""
    arguments = command.split()[1:]
    done = subprocess.run(
        [sys.executable, "-c", "from heatersel.cli import main; main()", *arguments],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return "\n".join(line.rstrip() for line in done.stdout.splitlines()) + "\n"


def main(arguments: list[str]) -> int:
    """Refresh README.md and docs/*.md of the checkout; return 1 if `--check` finds old text."""
    root = Path(__file__).parents[1]
    stale = []
    for path in [root / "README.md", *sorted((root / "docs").glob("*.md"))]:
        text = path.read_text(encoding="utf-8")
        fresh = refreshed(text)
        if fresh != text:
            stale.append(path.name)
            if "--check" not in arguments:
                path.write_text(fresh, encoding="utf-8")
    print("out of date: " + ", ".join(stale) if stale else "all up to date")
    return 1 if stale and "--check" in arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
