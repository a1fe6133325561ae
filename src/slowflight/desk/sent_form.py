"""The answers of a form as a browser sends them."""

from __future__ import annotations

from fastapi import Request

MOST_FIELDS = 4000  # a long campaign has forty cruise runs of five answers


async def form_of(request: Request) -> dict[str, str]:
    """Return every text field of a form, whatever its name."""
    form = await request.form(max_fields=MOST_FIELDS, max_files=0)
    return {str(key): value for key, value in form.items() if isinstance(value, str)}
