"""The request that a page of the dashboard sends with every change."""

from __future__ import annotations

from typing import Any

PARTS = {
    "ask": "tree", "tell": "tree", "strip": "tree", "tried": "tree", "trouble": "tree",
    "title": "children", "look": "data",
}  # fmt: skip
PATH = "/_dash-update-component"


def change(tables: Any, **state: Any) -> dict[str, Any]:
    """Return the body of a request for the answer to a state of the page."""
    outputs = [{"id": part, "property": name} for part, name in PARTS.items()]
    names = "...".join(f"{output['id']}.{output['property']}" for output in outputs)
    return {
        "output": f"..{names}..",
        "outputs": outputs,
        "inputs": [{"id": "job", "property": "data", "value": {"tables": tables, **state}}],
        "changedPropIds": ["job.data"],
    }
