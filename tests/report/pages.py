"""Reading a page back: its tags, whether they balance, and the text a reader sees."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

ALONE = {"meta", "link", "img", "br"}


@dataclass
class Page(HTMLParser):
    """A parsed page; a tag that is not closed, or closed out of turn, is an error."""

    tags: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)
    open_tags: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"an attribute twice in <{tag}>"
        self.tags.append((tag, dict(attrs)))
        if tag not in ALONE:
            self.open_tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open_tags, f"</{tag}> closes nothing"
        assert self.open_tags.pop() == tag, f"</{tag}> out of turn"

    def handle_data(self, data: str) -> None:
        if not {"style", "title"} & set(self.open_tags):
            self.parts.append(data)

    @property
    def text(self) -> str:
        """What is read, with single blanks."""
        return " ".join("".join(self.parts).split())

    def values(self, attribute: str) -> list[str]:
        """Every value of an attribute, whatever the tag."""
        return [attrs[attribute] or "" for _, attrs in self.tags if attribute in attrs]

    def images(self) -> list[dict[str, str | None]]:
        """The attributes of every picture."""
        return [attrs for tag, attrs in self.tags if tag == "img"]


def read(text: str) -> Page:
    """Parse a page and make sure that it balances."""
    page = Page()
    page.feed(text)
    page.close()
    assert page.open_tags == []
    return page
