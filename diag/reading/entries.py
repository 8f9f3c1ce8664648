"""The entries of one file, put into the draft of a book."""

from __future__ import annotations

from diag.model.nearest import nearest
from diag.reading.build import NOT_BUILT, WORD, Builder
from diag.reading.draft import FIGURES, HEAD, SECTIONS, Draft
from diag.reading.shape import Reference, Text
from diag.reading.yaml_nodes import Node

BASIS = "basis"


def read_file(shown: str, tree: Node, draft: Draft) -> None:
    """Read one file into the draft of its family; an entry given twice is a problem."""
    builder = Builder(shown, draft.findings)
    if tree.kind != "map":
        builder.problem(tree, f"a knowledge file is a mapping of sections; found {tree.told}.")
        return
    is_head = shown.endswith("family.yaml")
    known = [*SECTIONS, BASIS, *(HEAD if is_head else ())]
    builder.stated = _stated(builder, tree)
    for key, value in tree.pairs:
        word = str(key.scalar)
        if word in SECTIONS:
            for name, node in _entries(builder, word, value):
                _read_entry(builder, draft, (word, name, node))
        elif is_head and word in HEAD:
            builder.owner = ("", "")
            built = builder.build(_heads(word, value), HEAD[word], word)
            if built is not NOT_BUILT:
                draft.head[word] = built
        elif word == BASIS:
            continue  # it holds for the entries above it, too, and has been read
        elif word in HEAD:
            builder.problem(key, f"'{word}' belongs in family.yaml.", "Move it there.")
        else:
            builder.problem(key, f"unknown section '{word}'.", nearest(word, known))


def _heads(word: str, node: Node) -> Node:
    """A family that is taken over whole may stand as a word: `takes_from: [other]`."""
    if word != "takes_from" or node.kind != "list":
        return node
    items = (
        Node(item.line, "map", pairs=((Node(item.line, "scalar", scalar="family"), item),))
        if item.kind == "scalar"
        else item
        for item in node.items
    )
    return Node(node.line, "list", items=tuple(items))


def _stated(builder: Builder, tree: Node) -> dict[str, str]:
    """What the file says once of where its figures come from: kind of figure to words."""
    node = next((value for key, value in tree.pairs if key.scalar == BASIS), None)
    if node is None:
        return {}
    if node.kind != "map":
        do = "Write {prior: ..., shows: ...}, or put it into the entries."
        builder.problem(node, f"basis: kinds of figures are wanted; found {node.told}.", do)
        return {}
    stated = {}
    for key, value in node.pairs:
        kind = str(key.scalar)
        if kind not in FIGURES:
            builder.problem(key, f"basis: '{kind}' is no kind of figure.", nearest(kind, FIGURES))
        elif (words := builder.build(value, Text(), f"basis.{kind}")) is not NOT_BUILT:
            stated[kind] = words
    return stated


def _entries(builder: Builder, section: str, node: Node) -> list[tuple[str, Node]]:
    """(id, node) of each entry of a section."""
    if node.kind == "scalar" and node.scalar is None:
        return []
    if section == "rules":
        if node.kind != "list":
            builder.problem(node, f"rules: a list is wanted; found {node.told}.")
            return []
        return [named for item in node.items if (named := _rule(builder, item)) is not None]
    if node.kind != "map":
        builder.problem(node, f"{section}: entries by id are wanted; found {node.told}.")
        return []
    return [(str(key.scalar), value) for key, value in node.pairs]


def _rule(builder: Builder, item: Node) -> tuple[str, Node] | None:
    """A rule carries its id inside; take it out, and read `when` of one condition as a group."""
    pairs = {str(key.scalar): (key, value) for key, value in item.pairs}
    if "id" not in pairs:
        builder.problem(item, "a rule has no id.", "Give it an `id:` of its own.")
        return None
    rest = []
    for name, (key, value) in pairs.items():
        if name != "id":
            rest.append((key, _as_group(value) if name == "when" else value))
    return str(pairs["id"][1].scalar), Node(item.line, "map", pairs=tuple(rest))


def _as_group(when: Node) -> Node:
    """One condition that stands alone is a group of one."""
    if when.kind != "map" or {str(key.scalar) for key, _ in when.pairs} & {"all", "any"}:
        return when
    only = Node(when.line, "list", items=(when,))
    return Node(when.line, "map", pairs=((Node(when.line, "scalar", scalar="all"), only),))


def _read_entry(builder: Builder, draft: Draft, found: tuple[str, str, Node]) -> None:
    section, name, node = found
    origin = builder.origin(node)
    if not WORD.fullmatch(name):
        builder.problem(node, f"'{name}' in {section} is no lower_snake_case id.")
        return
    if (section, name) in draft.origins:
        text = f"'{name}' stands in {section} already, at {draft.origins[section, name]}."
        builder.problem(node, text, "Keep one, or give the other another id.")
        return
    draft.origins[section, name] = origin
    builder.owner = (section, name)
    replaced = [v for k, v in node.pairs if k.scalar == "replaced_by"]
    if replaced:
        new = builder.build(replaced[0], Reference(section), "replaced_by")
        if new is not NOT_BUILT:
            draft.retired.setdefault(section, {})[name] = new
        return
    entry = builder.entry(node, SECTIONS[section], name)
    if entry is not NOT_BUILT:
        draft.entries[section][name] = entry
