"""Family trees and pictures of paths as text for graphviz: newest below, each ancestor once."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from pedigree.errors import LineageError
from pedigree.explain.paths import explain
from pedigree.pedigree import Pedigree
from pedigree.rows import UNKNOWN

Sex = Literal["female", "male"] | None

MOST_GENERATIONS = 8
MOST_PATHS = 200
CROWDED = 6  # more than so many in a generation stand on two levels, without details

# Square male, circle female, diamond unknown; a double line for a consanguineous pairing:
# Bennett et al. 2008, J Genet Couns 17:424-433. A circle that holds words becomes an ellipse.
_SHAPES: dict[Sex, dict[str, str]] = {
    "male": {"shape": "box", "margin": "0.08,0.05"},
    "female": {"shape": "ellipse", "margin": "0.01,0.01"},
    None: {"shape": "diamond", "margin": "0,0"},
}


@dataclass(frozen=True)
class Card:
    """What a node of the tree says: its lines of text, its sex, and the address it leads to.

    `details` are further lines, left out where many animals stand side by side.
    """

    lines: tuple[str, ...]
    sex: Sex = None
    address: str | None = None
    tooltip: str = ""
    details: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What to say on pointing at the node."""
        return self.tooltip or ", ".join([*self.lines, *self.details])


@dataclass(frozen=True)
class Ink:
    """Colours and type. The drawing also carries classes, so that a page can colour it itself."""

    line: str = "#58645f"
    text: str = "#22302f"
    font: str = "Helvetica,Arial,sans-serif"
    size: float = 10.0  # points


@dataclass(frozen=True)
class TreeWords:
    """What a drawing says beside its cards; {share}, {shown} and {number} are filled in."""

    unknown: str = "unknown"
    not_on_record: str = "not on record"
    young: str = "their young"
    of_these: str = "young of these two"
    share: str = "share {share}"
    shortest: str = "the {shown} shortest of {number} paths"
    thousands: str = ","  # what stands between them


def family_tree(
    ped: Pedigree,
    animal: Any,
    *,
    generations: int = 3,
    cards: Mapping[Any, Card] | None = None,
    ink: Ink = Ink(),
    words: TreeWords = TreeWords(),
) -> str:
    """DOT text of an animal and its ancestors over 0 to 8 generations.

    `cards` says what stands in each node; an animal without a card shows its id. An ancestor is
    one node with all its lines; a pairing of kin has a double line; an unknown parent is a dashed
    diamond; possible sires have dashed lines with their shares. Sire left, dam right, as far as
    the lines allow. Ids never get into the text: nodes are named a1, a2, ... by row, so an animal
    keeps its node's id while rows are only added.

    Classes for a style sheet: animal, subject, female, male, sex-unknown, unknown, pairing, kin,
    line, possible. Raises UnknownAnimal, and LineageError for generations out of range. Cost:
    for each pairing, the ancestors of the two.

    >>> ped = Pedigree.from_rows([("X", "S", None), ("S", None, None)])
    >>> "a2:s -> " in family_tree(ped, "X")
    True
    """
    if not 0 <= generations <= MOST_GENERATIONS:
        raise LineageError(
            f"{generations} generations cannot be drawn; allowed is 0 to {MOST_GENERATIONS}."
        )
    picture = _Picture(ped, cards or {}, ink, words)
    picture.add_animal(animal, "subject")
    level, seen = [animal], {animal}
    for _ in range(generations):
        above: list[Any] = []
        crowded = len({parent for young in level for parent in _places(ped, young)}) > CROWDED
        for young in level:
            for parent in picture.add_parents(young, crowded=crowded):
                if parent not in seen:
                    seen.add(parent)
                    above.append(parent)
        level = above
    return picture.source()


def _places(ped: Pedigree, young: Any) -> list[Any]:
    """The parents that are drawn for an animal, unknown ones included."""
    sires, dam = list(ped.sires(young)), ped.dam(young)
    if not sires and dam is None:
        return []
    return [*(sires or [(young, "sire")]), (young, "dam") if dam is None else dam]


def path_picture(
    ped: Pedigree,
    sire: Any,
    dam: Any,
    *,
    most: int = 12,
    cards: Mapping[Any, Card] | None = None,
    ink: Ink = Ink(),
    words: TreeWords = TreeWords(),
) -> str:
    """DOT text of the lines that make young of these two inbred, and of nobody else.

    Each animal is one node, the common ancestors (class common) with a heavier outline. Drawn are
    the `most` shortest paths, 1 to 200; when there are more, a line below the picture says so.
    Two animals that are not related stand side by side. Raises UnknownAnimal, LineageError.

    >>> ped = Pedigree.from_rows([("V", None, None), ("S", None, "V"), ("D", "W", "V"),
    ...                           ("W", None, None)])
    >>> text = path_picture(ped, "S", "D")
    >>> "label=V" in text, "label=W" in text
    (True, False)
    """
    if not 1 <= most <= MOST_PATHS:
        raise LineageError(f"{most} paths cannot be drawn; allowed is 1 to {MOST_PATHS}.")
    why = explain(ped, sire, dam)
    walks = list(why.walk(most))
    picture = _Picture(ped, cards or {}, ink, words)
    common = {one.id for one in why.ancestors}
    links: set[tuple[Any, Any]] = set()  # parent, young
    for path in walks:
        summit = _summit(ped, path)
        links.update(zip(path[1 : summit + 1], path[:summit], strict=True))
        links.update(zip(path[summit:], path[summit + 1 :], strict=False))
    for animal in (sire, dam, *(animal for path in walks for animal in path)):
        picture.add_animal(animal, "common" if animal in common else "")
    for young in dict.fromkeys(young for _, young in links):
        picture.add_links(young, {parent for parent, child in links if child == young})
    picture.add_young_of(sire, dam)
    if why.path_count > len(walks):
        number = f"{why.path_count:,}".replace(",", words.thousands)
        picture.say(words.shortest.format(shown=len(walks), number=number))
    return picture.source()


def _summit(ped: Pedigree, path: tuple[Any, ...]) -> int:
    """Where on a path the common ancestor stands: the last to be a parent of the one before."""
    place = 0
    while place + 1 < len(path) and _is_parent(ped, path[place + 1], path[place]):
        place += 1
    return place


def _is_parent(ped: Pedigree, parent: Any, young: Any) -> bool:
    if young not in ped:
        return False
    if parent not in ped:  # the unrecorded parent of a litter
        return young in parent.young
    return parent == ped.dam(young) or parent in ped.sires(young)


class _Picture:
    """A drawing in the making."""

    def __init__(
        self, ped: Pedigree, cards: Mapping[Any, Card], ink: Ink, words: TreeWords
    ) -> None:
        self._ped, self._cards, self._ink, self._words = ped, cards, ink, words
        self._names: dict[Any, str] = {}
        self._pairings: set[str] = set()
        self._graph = _graphviz().Digraph(
            graph_attr={
                "bgcolor": "transparent",
                "nodesep": "0.09",
                "ranksep": "0.2",
                "margin": "0.02",
                "fontname": ink.font,
                "fontsize": f"{ink.size - 1:g}",
                "fontcolor": ink.line,
            },
            node_attr={
                "fontname": ink.font,
                "fontsize": f"{ink.size:g}",
                "color": ink.text,
                "fontcolor": ink.text,
                "height": "0.3",
                "width": "0.5",
                "penwidth": "1",
            },
            edge_attr={"arrowhead": "none", "color": ink.line, "penwidth": "1"},
        )

    def source(self) -> str:
        return str(self._graph.source)

    def say(self, words: str) -> None:
        """A line below the picture."""
        self._graph.attr(label=_graphviz().escape(words), labelloc="b")

    # ------------------------------------------------------------------------------- nodes

    def add_animal(self, animal: Any, mark: str = "", *, crowded: bool = False) -> str:
        if animal in self._names:
            return self._names[animal]
        if animal not in self._ped and isinstance(getattr(animal, "young", None), tuple):
            return self._add_unknown(animal, f"u{self._ped.row(animal.young[0]) + 1}")
        name = self._names[animal] = f"a{self._ped.row(animal) + 1}"
        card = self._cards.get(animal) or Card((str(animal),))
        classes = ["animal", card.sex or "sex-unknown", mark]
        attributes = {
            **_SHAPES[card.sex],
            "label": _lines(card.lines if crowded else [*card.lines, *card.details]),
            "id": name,
            "class": " ".join(one for one in classes if one),
            "tooltip": _lines([card.words]),
        }
        if mark:
            attributes["penwidth"] = "2"
        if card.address:
            attributes["URL"] = _graphviz().escape(card.address)
        self._graph.node(name, **attributes)
        return name

    def _add_unknown(self, key: Any, name: str) -> str:
        if key not in self._names:
            self._names[key] = name
            self._graph.node(
                name,
                label=_graphviz().escape(self._words.unknown),
                shape="diamond",
                style="dashed",
                margin="0,0",
                fontsize=f"{self._ink.size - 1:g}",
                color=self._ink.line,
                fontcolor=self._ink.line,
                **{"class": "unknown", "id": name, "tooltip": self._words.not_on_record},
            )
        return self._names[key]

    # ------------------------------------------------------------------------------- lines

    def add_parents(self, young: Any, *, crowded: bool = False) -> list[Any]:
        """Draw the pairing an animal comes from; returns the parents that are known.

        `crowded` puts the sire one level above the dam, which takes half the width.
        """
        ped = self._ped
        sires, dam = ped.sires(young), ped.dam(young)
        if not sires and dam is None:
            return []
        child = self.add_animal(young)
        node = int(ped._layout.node_of_row[ped.row(young)])
        stem = (int(ped._layout.first[node]), int(ped._layout.second[node]))
        # Young of the same two (a litter's uncertain sire counts as one) hang on one pairing.
        pairing = f"p{child}" if UNKNOWN in stem else f"p{stem[0]}x{stem[1]}"
        is_new = pairing not in self._pairings
        if is_new:
            self._add_pairing(pairing)
            level = 2 if crowded else 1
            for sire, share in sires.items():
                name = self.add_animal(sire, crowded=crowded)
                self._join(name, pairing, share, kin=self._are_kin(sire, dam), level=level)
            rest = 1 - sum(sires.values(), Fraction(0))
            if rest:
                name = self._add_unknown((pairing, "sire"), f"{pairing}s")
                self._join(name, pairing, rest, level=level)
            if len(sires) < 2 and not crowded:
                self._keep_apart(pairing)
            if dam is None:
                self._join(self._add_unknown((pairing, "dam"), f"{pairing}d"), pairing)
            else:
                kin = not rest and all(self._are_kin(sire, dam) for sire in sires)
                self._join(self.add_animal(dam, crowded=crowded), pairing, kin=kin)
        self._graph.edge(f"{pairing}:s", f"{child}:n", weight="8", **{"class": "line"})
        return [*sires, *([] if dam is None else [dam])] if is_new else []

    def _keep_apart(self, pairing: str) -> None:
        """Something unseen between sire and dam, so that their young stand in the middle."""
        self._graph.node(f"{pairing}m", label="", style="invis", width="0", height="0", margin="0")
        self._graph.edge(f"{pairing}m", pairing, style="invis", weight="4")

    def add_links(self, young: Any, parents: Iterable[Any]) -> None:
        """Draw the lines from an animal to some of its parents."""
        ped = self._ped
        parents = set(parents)
        sires, dam = ped.sires(young), ped.dam(young)
        shown = [(sire, share) for sire, share in sires.items() if sire in parents]
        shown += [(dam, Fraction(1))] if dam in parents and dam is not None else []
        shown += [(one, Fraction(1)) for one in parents if one not in ped]
        child = self.add_animal(young)
        if len(shown) == 1:
            self._join(self.add_animal(shown[0][0]), child, shown[0][1], port=":n")
            return
        certain = all(share == 1 for _, share in shown)
        names = [self.add_animal(parent) for parent, _ in shown]
        pairing = f"p{'x'.join(names)}" if certain else f"p{child}"
        if pairing not in self._pairings:
            self._add_pairing(pairing)
            kin = any(self._are_kin(sire, dam) for sire, _ in shown if sire != dam)
            for name, (_, share) in zip(names, shown, strict=True):
                self._join(name, pairing, share, kin=kin and dam in parents)
        self._graph.edge(f"{pairing}:s", f"{child}:n", weight="8", **{"class": "line"})

    def add_young_of(self, sire: Any, dam: Any) -> None:
        """The young that are thought of, below their parents."""
        self._add_pairing("pyoung")
        kin = self._are_kin(sire, dam)
        self._join(self.add_animal(sire), "pyoung", kin=kin)
        if sire != dam:
            self._join(self.add_animal(dam), "pyoung", kin=kin)
        self._graph.node(
            "young",
            label=_graphviz().escape(self._words.young),
            shape="plaintext",
            margin="0.02,0",
            height="0.15",
            fontcolor=self._ink.line,
            **{"class": "young", "id": "young", "tooltip": self._words.of_these},
        )
        self._graph.edge("pyoung:s", "young:n", **{"class": "line"})

    def _add_pairing(self, name: str) -> None:
        self._pairings.add(name)
        self._graph.node(
            name,
            label="",
            shape="point",
            width="0.03",
            height="0.03",
            color=self._ink.line,
            ordering="in",  # the sire's line is written first, so he stands to the left
            **{"class": "pairing", "id": name, "tooltip": " "},
        )

    def _are_kin(self, one: Any, other: Any) -> bool:
        known = one in self._ped and other in self._ped
        return known and self._ped.are_related(one, other)

    def _join(
        self,
        parent: str,
        below: str,
        share: Fraction = Fraction(1),
        *,
        kin: bool = False,
        port: str = "",
        level: int = 1,
    ) -> None:
        """A line from a parent down; a possible sire's is dashed and passes through his share."""
        classes = ["line", *(["kin"] if kin else []), *(["possible"] if share != 1 else [])]
        attributes = {"class": " ".join(classes)}
        if kin:
            attributes["color"] = f"{self._ink.line}:invis:{self._ink.line}"
        start = f"{parent}:s"
        if share != 1:
            attributes["style"] = "dashed"
            start = f"{parent}_{below}"
            self._graph.node(
                start,
                label=str(share),
                shape="plaintext",
                margin="0.03,0.01",
                width="0",
                height="0",
                fontsize=f"{self._ink.size - 1:g}",
                fontcolor=self._ink.line,
                **{
                    "class": "share",
                    "id": start,
                    "tooltip": self._words.share.format(share=share),
                },
            )
            self._graph.edge(f"{parent}:s", f"{start}:n", weight="4", **attributes)
            start += ":s"
        if level > 1:
            attributes["minlen"] = str(level)
        self._graph.edge(start, f"{below}{port}", **attributes)


def _lines(lines: Iterable[str]) -> str:
    """Lines of a label: every one escaped, and never taken for HTML (<...>)."""
    escape = _graphviz().escape
    label: str = _graphviz().nohtml("\\n".join(escape(line) for line in lines) or " ")
    return label


def _graphviz() -> Any:
    import graphviz  # only here: it takes longer to load than the arithmetic of a small pedigree

    return graphviz
