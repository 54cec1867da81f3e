"""Which line of a TOML text each of its keys stands on. The text must already have been read without error."""

import tomllib

Path = tuple[str | int, ...]

SPACE, LINE_SPACE = " \t", " \t\r\n"
BARE_ENDS = ",]}#\n"


def key_lines(text: str) -> dict[Path, int]:
    """Path of each key, e.g. ("vehicle", "obstacle", 0, "gap"), to its line, counted from 1.

    Elements of arrays have their own line too: ("outline", "points", 3)."""
    scan = _Scan(text)
    table: Path = ()
    while scan.skip(LINE_SPACE):
        if scan.text[scan.at] == "[":
            table = scan.header()
        else:
            scan.pair(table)
    return scan.lines


def line_of(lines: dict[Path, int], path: Path) -> int | None:
    """The line of `path`, or of the nearest table above it that the text has; None where it has none."""
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return lines[path[:length]]
    return None


class _Scan:
    def __init__(self, text: str):
        self.text, self.at = text, 0
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}
        self.counted_to, self.line = 0, 1

    def skip(self, blanks: str) -> bool:
        """Past blanks and comments; whether anything follows."""
        while self.at < len(self.text):
            if self.text[self.at] == "#" and "\n" in blanks:
                end = self.text.find("\n", self.at)
                self.at = len(self.text) if end < 0 else end
            elif self.text[self.at] in blanks:
                self.at += 1
            else:
                return True
        return False

    def mark(self, path: Path) -> None:
        """Remember the line for `path` and for the tables above it that have none yet."""
        self.line += self.text.count("\n", self.counted_to, self.at)
        self.counted_to = self.at
        for length in range(1, len(path) + 1):
            self.lines.setdefault(path[:length], self.line)

    def header(self) -> Path:
        """A [table] or [[table]] line: the path of the table that it opens."""
        is_array = self.text.startswith("[[", self.at)
        self.at += 1 + is_array
        names = self.key()
        path: Path = ()
        for name in names[:-1]:
            path = self.last_of((*path, name))
        path = (*path, names[-1])
        if is_array:
            self.counts[path] = self.counts.get(path, 0) + 1
        path = self.last_of(path)
        self.mark(path)
        self.at = self.text.index("]", self.at) + 1 + is_array
        return path

    def last_of(self, path: Path) -> Path:
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def pair(self, table: Path) -> None:
        """One `key = value`."""
        before = self.at
        path = (*table, *self.key())
        after, self.at = self.at, before
        self.mark(path)
        self.at = after + 1
        self.value(path)

    def key(self) -> tuple[str, ...]:
        """A dotted key; stops at the `=` or `]` after it."""
        names = []
        while True:
            self.skip(SPACE)
            names.append(self.quoted() if self.text[self.at] in "\"'" else self.bare())
            self.skip(SPACE)
            if self.text[self.at] != ".":
                return tuple(names)
            self.at += 1

    def bare(self) -> str:
        start = self.at
        while self.text[self.at] not in " \t.=]":
            self.at += 1
        return self.text[start : self.at]

    def quoted(self) -> str:
        start = self.at
        self.string()
        return tomllib.loads(f"key = {self.text[start : self.at]}")["key"]

    def string(self) -> None:
        """Past a string of any of the four kinds."""
        mark = self.text[self.at]
        close = mark * 3 if self.text.startswith(mark * 3, self.at) else mark
        self.at += len(close)
        while not self.text.startswith(close, self.at):
            self.at += 2 if mark == '"' and self.text[self.at] == "\\" else 1
        self.at += len(close)
        while len(close) > 1 and self.text.startswith(mark, self.at):
            self.at += 1

    def value(self, path: Path) -> None:
        self.skip(LINE_SPACE)
        first = self.text[self.at]
        if first in "\"'":
            self.string()
        elif first in "[{":
            self.items(path, is_table=first == "{")
        else:
            while self.at < len(self.text) and self.text[self.at] not in BARE_ENDS:
                self.at += 1

    def items(self, path: Path, *, is_table: bool) -> None:
        """Past an array or an inline table."""
        self.at += 1
        count = 0
        while self.skip(LINE_SPACE) and self.text[self.at] not in "]}":
            if self.text[self.at] == ",":
                self.at += 1
            elif is_table:
                self.pair(path)
            else:
                self.mark((*path, count))
                self.value((*path, count))
                count += 1
        self.at += 1
