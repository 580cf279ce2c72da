"""Finds the next word of a line quickly: only what can begin with its first sign is tried.

Lark tries one expression of all the words that may stand there, and compiles such an expression
for every state of its parser. Here each word is compiled once, when it is first wanted, and tried
alone; the order, and so the word that is found, stays Lark's.
"""

import re
from collections.abc import Collection, Iterable, Sequence
from copy import copy
from functools import cache
from re import _constants as signs
from re import _parser as expressions
from typing import Any, NamedTuple

from lark.common import LexerConf
from lark.lexer import BasicLexer, ContextualLexer, PatternStr, Scanner, TerminalDef
from lark.utils import TextSlice

_SIGNS = frozenset(map(chr, range(128)))
_CATEGORIES = {"DIGIT": r"\d", "SPACE": r"\s", "WORD": r"\w"}
_WIDE = frozenset({"MAX_REPEAT", "MIN_REPEAT", "POSSESSIVE_REPEAT"})
_EMPTY = frozenset({"AT", "ASSERT", "ASSERT_NOT"})


class _Word(NamedTuple):
    """A word of the grammar: where it stands in the order, and how it is found."""

    name: str
    priority: int
    found: re.Pattern[str]


class WordScanner(Scanner):
    """The words that may stand at one place of a line, in Lark's order, by their first sign."""

    def __init__(self, terminals: Sequence[TerminalDef], flags: int) -> None:
        self.terminals = terminals
        self.allowed_types = {t.name for t in terminals}
        self._flags = flags
        self._by_sign: dict[str, tuple[_Word, ...]] = {}
        self._plain = {
            (t.pattern.value, t.priority): t.name
            for t in terminals
            if isinstance(t.pattern, PatternStr)
        }

    def match(self, text: TextSlice[str], pos: int) -> tuple[str, str] | None:
        """The word at an offset and its name; None where no word stands there."""
        sign = text.text[pos : pos + 1]
        words = self._by_sign.get(sign)
        if words is None:
            words = self._by_sign[sign] = tuple(self._beginning(sign))
        for word in words:
            match = word.found.match(text.text, pos, text.end)
            if match:
                value = match.group()
                return value, self._plain.get((value, word.priority), word.name)
        return None

    def _beginning(self, sign: str) -> Iterable[_Word]:
        for terminal in self.terminals:
            source = terminal.pattern.to_regexp()
            if not sign.isascii() or sign in first_signs(source, self._flags):
                yield _Word(terminal.name, terminal.priority, _compiled(source, self._flags))


class WordLexer(BasicLexer):
    """Lark's lexer of one place of a line, with the scanner above."""

    def _build_scanner(self) -> WordScanner:
        self.callback = dict(self.user_callbacks)
        return WordScanner(tuple(self.terminals), self.g_regex_flags)


class PlaceLexer(ContextualLexer):
    """Lark's lexer that knows what may stand where; that of a place is made when it is wanted."""

    BasicLexer = WordLexer

    def __init__(
        self,
        conf: LexerConf,
        states: dict[int, Collection[str]],
        always_accept: Collection[str] = (),
    ) -> None:
        super().__init__(conf, {}, always_accept)
        self.lexers: Any = _Places(conf, states, always_accept)


class _Places(dict[int, BasicLexer]):
    """The lexer of each state of the parser; states at which the same words may stand share one."""

    def __init__(
        self, conf: LexerConf, states: dict[int, Collection[str]], always: Collection[str]
    ) -> None:
        super().__init__()
        self._conf, self._states = conf, states
        self._always = {*conf.ignore, *always}
        self._by_words: dict[frozenset[str], BasicLexer] = {}

    def __missing__(self, state: int) -> BasicLexer:
        words = self._always.union(self._states[state])
        lexer = self._by_words.get(frozenset(words))
        if lexer is None:
            conf, known = copy(self._conf), self._conf.terminals_by_name
            conf.terminals = [known[word] for word in words if word in known]
            conf.skip_validation = True  # each was looked at when all of them were
            lexer = self._by_words[frozenset(words)] = WordLexer(conf)
        self[state] = lexer
        return lexer


@cache
def _compiled(source: str, flags: int) -> re.Pattern[str]:
    return re.compile(source, flags)


@cache
def first_signs(source: str, flags: int = 0) -> frozenset[str]:
    """The ASCII signs that a match of an expression may begin with; some more at the worst."""
    first, _ = _begins(expressions.parse(source, flags))
    return first | {s.swapcase() for s in first}


def _begins(nodes: Iterable[Any]) -> tuple[frozenset[str], bool]:
    """The first signs of a sequence, and whether it may be empty."""
    out: frozenset[str] = frozenset()
    for kind, said in nodes:
        signs_of, empty = _node(str(kind), said)
        out |= signs_of
        if not empty:
            return out, False
    return out, True


def _node(kind: str, said: Any) -> tuple[frozenset[str], bool]:
    if kind in _EMPTY:
        return frozenset(), True
    if kind == "LITERAL":
        return frozenset({chr(said)}) & _SIGNS, False
    if kind == "IN":
        return _class(said), False
    if kind == "SUBPATTERN":
        return _begins(said[-1])
    if kind in _WIDE:
        least, _, inside = said
        first, empty = _begins(inside)
        return first, empty or least == 0
    if kind == "BRANCH":
        ways = [_begins(way) for way in said[1]]
        return frozenset[str]().union(*(w[0] for w in ways)), any(w[1] for w in ways)
    return _SIGNS, True  # anything else may begin with anything


def _class(members: Iterable[tuple[Any, Any]]) -> frozenset[str]:
    out: frozenset[str] = frozenset()
    negated = False
    for kind, said in members:
        if kind is signs.NEGATE:
            negated = True
        elif kind is signs.LITERAL:
            out |= {chr(said)}
        elif kind is signs.RANGE:
            out |= frozenset(chr(c) for c in range(said[0], min(said[1], 127) + 1))
        elif kind is signs.CATEGORY:
            name = str(said).removeprefix("CATEGORY_")
            inside = _CATEGORIES.get(name.removeprefix("NOT_"))
            if inside is None:
                return _SIGNS
            is_in = name in _CATEGORIES
            out |= frozenset(s for s in _SIGNS if bool(re.match(inside, s)) == is_in)
        else:
            return _SIGNS
    if negated:
        # capitals are free: what is no "b" may yet begin with a "B"
        return _SIGNS
    return out & _SIGNS
