"""What a change has to say, kept until the next page shows it."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import quote

from fastapi.responses import RedirectResponse

from slowflight.desk.answers import AnswersRefused
from slowflight.errors import SlowflightError

MOST = 50


@dataclass(frozen=True, kw_only=True)
class Message:
    """One message.

    Parameters
    ----------
    text : str
    bad : bool
        Something was refused.
    answers : dict of str
        What was filled in and not saved, so that it is not lost.
    wrong : dict of str
        What is wrong with an answer, by the key of its field.
    """

    text: str
    bad: bool = False
    answers: dict[str, str] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)


class Messages:
    """The last messages, by a number that stands in the next page's address."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Message] = OrderedDict()

    def go(self, path: str, message: Message | None = None) -> RedirectResponse:
        """Return the way to a page, and what it will say."""
        if message is None:
            return RedirectResponse(path, 303)
        number = secrets.token_hex(6)
        self._kept[number] = message
        while len(self._kept) > MOST:
            self._kept.popitem(last=False)
        return RedirectResponse(f"{path}?said={quote(number)}", 303)

    def told(
        self, path: str, change: Callable[[], str], answers: dict[str, str] | None = None
    ) -> RedirectResponse:
        """Make a change and return the way to a page that says what came of it.

        Parameters
        ----------
        path : str
        change : callable
            Returns what to say; nothing where the page says enough.
        answers : dict of str, optional
            What was filled in, so that a refusal does not lose it.
        """
        try:
            words = change()
        except SlowflightError as error:
            wrong = error.wrong if isinstance(error, AnswersRefused) else {}
            return self.go(path, Message(text=str(error), bad=True, answers=answers or {}, wrong=wrong))
        except OSError as error:
            why = f"not written: {error.strerror or 'the folder cannot be written'}"
            return self.go(path, Message(text=why, bad=True, answers=answers or {}))
        return self.go(path, Message(text=words) if words else None)

    def of(self, number: str) -> Message | None:
        """Return a message; it stays, so that a reload shows it again."""
        return self._kept.get(number)
