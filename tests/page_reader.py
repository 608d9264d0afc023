"""Read a page the way a program does: tags in order, text, tables."""

from html.parser import HTMLParser

VOID = {"meta", "br", "hr", "img", "input", "link"}


class Node:
    def __init__(self, tag, attributes):
        self.tag = tag
        self.attributes = dict(attributes)
        self.children = []

    def all(self, tag):
        """Every element of a kind below this one, in order."""
        found = []
        for child in self.children:
            if isinstance(child, Node):
                found += [child] if child.tag == tag else []
                found += child.all(tag)
        return found

    @property
    def text(self):
        """All text below, as it reads."""
        parts = [child if isinstance(child, str) else child.text for child in self.children]
        return "".join(parts)

    @property
    def words(self):
        return " ".join(self.text.split())


class _Reader(HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.root = Node("", [])
        self.open = [self.root]

    def handle_starttag(self, tag, attrs):
        node = Node(tag, attrs)
        self.open[-1].children.append(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_startendtag(self, tag, attrs):
        self.open[-1].children.append(Node(tag, attrs))

    def handle_endtag(self, tag):
        assert self.open[-1].tag == tag, f"</{tag}> closes <{self.open[-1].tag}>"
        self.open.pop()

    def handle_data(self, data):
        self.open[-1].children.append(data)


def read_page(text):
    """Return the tree of a page; every tag must be closed in its turn."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    assert reader.open == [reader.root]
    return reader.root


def section(page, heading):
    """The section with a heading."""
    (found,) = (
        node
        for node in page.all("section")
        if any(title.words == heading for title in node.all("h2"))
    )
    return found


def rows(table):
    """A table as dictionaries, header to cell; lines that only head a group are left out."""
    headers = [cell.words for cell in table.all("thead")[0].all("th")]
    found = []
    for row in (row for body in table.all("tbody") for row in body.all("tr")):
        cells = [cell for cell in row.children if isinstance(cell, Node)]
        if cells[0].attributes.get("scope") == "rowgroup":
            continue
        assert len(cells) == len(headers)
        found.append(dict(zip(headers, (cell.words for cell in cells), strict=True)))
    return found
