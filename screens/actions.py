"""Every key of the screens, once: bindings, the line of keys and the help page all read this."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from textual.binding import Binding, BindingType

DIGITS = tuple("123456789")


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that a key does.

    `name` is the method `action_<name>` of the screen, or `app.<name>` one of the app; `keys` are
    names of keys as Textual knows them; `shown` is what stands on the keyboard. What is not on the
    line of keys (`bar`) is on the help page.
    """

    name: str
    keys: tuple[str, ...]
    shown: str
    label: str
    help: str
    bar: bool = True
    per_key: bool = False
    """The method is told which key it was."""


def _digits(name: str, label: str, help_text: str, *, bar: bool = True) -> Action:
    return Action(name, DIGITS, "1-9", label, help_text, bar, per_key=True)


_BACK = Action("back", ("escape",), "Esc", "back", "Go back. Everything is saved already.")
_HELP = Action("help", ("question_mark", "f1"), "?", "keys", "Show what every key does.")
_THEME = Action("theme", ("f2",), "F2", "theme", "Change between dark and light.", bar=False)
_SCROLL = (
    Action("page(-1)", ("pageup",), "PgUp", "up", "Scroll the text up.", bar=False),
    Action("page(1)", ("pagedown",), "PgDn", "down", "Scroll the text down.", bar=False),
)
_MARK = (
    Action("mark(-1)", ("up",), "Up", "mark", "Mark the line above.", bar=False),
    Action("mark(1)", ("down",), "Down", "mark", "Mark the line below.", bar=False),
)

ACTIONS: Mapping[str, tuple[Action, ...]] = {
    "everywhere": (_HELP, _THEME),
    "shelf": (
        Action("open", ("enter",), "Enter", "open", "Go on with the deck in the marked row."),
        Action("new", ("n",), "n", "new deck", "Take in a deck."),
        Action("search", ("slash",), "/", "search", "Show only decks whose name holds a word."),
        Action("take_file", ("i",), "i", "import", "Take in a case file (.case.json)."),
        Action("export", ("e",), "e", "export", "Write the marked deck as a case file."),
        Action("book", ("b",), "b", "book", "Read what the book knows."),
        Action("leave", ("q",), "q", "quit", "Leave. Everything is saved already."),
        Action("back", ("escape",), "Esc", "back", "Leave the search.", bar=False),
        Action("workshop", ("j",), "j", "sums", "Bench sums: belts, speed, capacitors, levels."),
        Action("orders", ("o",), "o", "orders", "The parts that all decks need."),
        Action("app.theme", ("t",), "t", "theme", "Change between dark and light."),
    ),
    "intake": (
        _digits("answer", "answer", "Take the numbered value, and go to the next row."),
        Action(
            "type",
            ("full_stop", "comma", "backspace"),
            ". ,",
            "number",
            "Point or comma of a number; Backspace takes back the last sign.",
            bar=False,
            per_key=True,
        ),
        Action("unknown", ("0",), "0", "unknown", "Leave the row open; that is always allowed."),
        Action(
            "edit",
            ("enter",),
            "Enter",
            "write",
            "Write into the row, end a number, or choose from the whole list.",
        ),
        Action("begin", ("b",), "b", "done", "Begin the case, or save what was changed."),
        Action("back", ("escape",), "Esc", "drop", "Go back and keep nothing of this page."),
        *_MARK,
        *_SCROLL,
    ),
    "bench": (
        Action("read", ("y",), "y", "read", "The danger was read; show the step.", bar=False),
        # The card itself shows the keys that answer.
        _digits(
            "digit", "answer", "Give the numbered answer; or type a measured value.", bar=False
        ),
        Action("zero", ("0",), "0", "can't tell", "It can't be told; no evidence.", bar=False),
        Action(
            "cant_tell",
            ("d",),
            "d",
            "can't tell",
            "The same for a measurement, where 0 is a digit.",
            bar=False,
        ),
        Action(
            "type",
            ("minus", "full_stop", "comma", "backspace", "plus"),
            "- . ,",
            "number",
            "Sign, point or comma of a measured value; Backspace takes back the last sign.",
            bar=False,
            per_key=True,
        ),
        Action(
            "enter",
            ("enter",),
            "Enter",
            "take",
            "Take the typed value, or the answer that the arrows have marked.",
            bar=False,
        ),
        *_MARK,
        Action("sure", ("f",), "f", "sure?", "Change between certain and fairly sure."),
        Action(
            "recording",
            ("p",),
            "p",
            "recording",
            "Measure it from a recording of the deck, a WAV or FLAC file.",
        ),
        Action("skip", ("s",), "s", "skip", "Leave this step for later."),
        Action(
            "access",
            ("o",),
            "o",
            "open/close",
            "Open the layers that the step needs, or close the deck for the final test.",
        ),
        Action(
            "again",
            ("g",),
            "g",
            "ask again",
            "Ask again what sits worst with the rest; from there, what sits next worst.",
        ),
        Action("cautions", ("k",), "k", "cautions", "Read the cautions of this step in full."),
        Action("in_here", ("h",), "h", "in here", "What is worth doing while the deck is open."),
        Action("others", ("a",), "a", "others", "Choose another check or remedy."),
        Action("causes", ("c",), "c", "causes", "Go into the list of causes; Enter opens one."),
        Action("remedies", ("m",), "m", "mend", "Remedies for what is most probable."),
        Action("undo", ("u",), "u", "undo", "Take the last event back; it stays in the trail."),
        Action("redo", ("r",), "r", "redo", "Bring back what was taken back last."),
        Action("note", ("n",), "n", "note", "Write something down."),
        Action("layers", ("l",), "l", "layers", "See, open and close the layers of the deck."),
        Action("noted", ("v",), "v", "view", "Read in full what the rules noted."),
        Action(
            "strip_down",
            ("z",),
            "z",
            "strip-down",
            "What comes off, and putting it together again.",
        ),
        Action("parts", ("q",), "q", "parts", "The parts that the deck needs, with their prices."),
        Action("trail", ("t",), "t", "trail", "Every step of the case."),
        Action("export", ("x",), "x", "export", "Write the trail to a file."),
        Action(
            "figures",
            ("e",),
            "e",
            "figures",
            "Figures and curves of recordings, before and after; measure another.",
        ),
        Action(
            "tree",
            ("w",),
            "w",
            "tree",
            "Work the complaint out into a decision tree, for the wall.",
            bar=False,
        ),
        Action("book", ("b",), "b", "book", "Read what the book knows.", bar=False),
        Action(
            "workshop",
            ("j",),
            "j",
            "sums",
            "Bench sums: belts, speed, capacitors, levels; a result can go into the case.",
            bar=False,
        ),
        Action("amend", ("i",), "i", "deck", "Say anew what the deck is, and what its owner told."),
        Action("back", ("escape",), "Esc", "shelf", "Back to the shelf; everything is saved."),
        *_SCROLL,
    ),
    "cause": (
        _digits("remedy", "go to", "Go to the numbered remedy or look-alike."),
        Action("pick", ("enter",), "Enter", "open", "Go to the marked remedy or look-alike."),
        Action("book", ("b",), "b", "book", "Read all that the book says of this cause."),
        *_MARK,
        _BACK,
        *_SCROLL,
    ),
    "remedy": (
        Action("read", ("y",), "y", "read", "The danger was read; show the work.", bar=False),
        Action(
            "digit", ("1", "2"), "1-2", "outcome", "It is done, or it was given up.", True, True
        ),
        Action("access", ("o",), "o", "open", "Open the layers that the work needs."),
        Action("cautions", ("k",), "k", "cautions", "Read the cautions of this step in full."),
        _BACK,
        *_SCROLL,
    ),
    "tree": (
        Action("turn", ("enter", "space"), "Enter", "fold", "Fold or unfold the marked line."),
        Action("unfold", ("right",), "Right", "in", "Unfold, or go to the first answer."),
        Action("fold", ("left",), "Left", "out", "Fold, or go to the step that led here."),
        *_MARK,
        Action("cautions", ("k",), "k", "cautions", "Read the cautions of the marked step."),
        Action("export", ("x",), "x", "export", "Write the tree to a file."),
        _BACK,
        *_SCROLL,
    ),
    "book": (
        Action("open", ("enter",), "Enter", "read", "Read the marked entry."),
        Action("section(-1)", ("left",), "Left", "kind before", "Go to the kind of entry before."),
        Action("section(1)", ("right",), "Right", "next kind", "Go to the next kind of entry."),
        Action("search", ("slash",), "/", "search", "Find entries of any kind by words in them."),
        *_MARK,
        Action("back", ("escape",), "Esc", "back", "Leave the search, or go back."),
        *_SCROLL,
    ),
    "entry": (
        Action("follow", ("enter",), "Enter", "go to", "Go to the marked entry."),
        *_MARK,
        Action("leave", ("b",), "b", "out", "Out of the book, to where it was opened."),
        _BACK,
        *_SCROLL,
    ),
    "measure": (
        Action("recording", ("p",), "p", "recording", "Measure a recording, a WAV or FLAC file."),
        Action("kind(-1)", ("left",), "Left", "kind before", "Go to the kind of figures before."),
        Action("kind(1)", ("right",), "Right", "next kind", "Go to the next kind of figures."),
        Action("curve", ("c",), "c", "curve", "Show the next curve of these figures."),
        Action(
            "specification",
            ("s",),
            "s",
            "against",
            "Choose the specification that the figures are held against.",
        ),
        _BACK,
        Action("undo", ("u",), "u", "undo", "Take the last event back; it stays in the trail."),
        Action("redo", ("r",), "r", "redo", "Bring back what was taken back last."),
        Action("export", ("x",), "x", "export", "Write the trail to a file.", bar=False),
        *_SCROLL,
    ),
    "strip_down": (
        _digits("log", "came off", "Say what comes off here: 1 screw, 2 washer, and so on."),
        Action("tray(1)", ("plus",), "+", "tray", "Use the next tray."),
        Action("tray(-1)", ("minus",), "-", "tray", "Use the tray before.", bar=False),
        Action("access", ("o", "enter"), "o", "open/close", "Open the marked layer, or close it."),
        Action("reassemble", ("b",), "b", "put back", "Put it together, the last thing first."),
        Action("undo", ("u",), "u", "undo", "Take the last event back; it stays in the trail."),
        Action("correct", ("e",), "e", "correct", "Say anew what was taken off here."),
        Action("photo", ("p",), "p", "photo", "Name a photograph of how it was."),
        Action("in_here", ("h",), "h", "in here", "What is worth doing while the deck is open."),
        Action("labels", ("x",), "x", "labels", "Write labels and the list to print."),
        Action("parts", ("q",), "q", "parts", "The parts that the deck needs, with their prices."),
        Action("redo", ("r",), "r", "redo", "Bring back what was taken back last."),
        _BACK,
        *_SCROLL,
    ),
    "reassembly": (
        Action("put", ("enter", "space"), "Enter", "is back", "All of the marked line is back."),
        _digits("count", "so many", "So many of the marked line are back."),
        Action("new", ("n",), "n", "new one", "New ones are fitted in their place."),
        Action("left_out", ("a",), "a", "left out", "They are left out, and that is meant."),
        Action("close", ("o",), "o", "close", "Close this layer, once you have looked."),
        Action("in_here", ("h",), "h", "in here", "What is worth doing while the deck is open."),
        Action("layer(-1)", ("left",), "Left", "layer before", "Go to the layer before."),
        Action("layer(1)", ("right",), "Right", "next layer", "Go to the next layer."),
        Action("undo", ("u",), "u", "undo", "Take the last event back; it stays in the trail."),
        Action("redo", ("r",), "r", "redo", "Bring back what was taken back last."),
        _BACK,
        *_SCROLL,
    ),
    "orders": (
        Action(
            "state",
            DIGITS[:5],
            "1-5",
            "state",
            "1 wanted, 2 ordered, 3 arrived, 4 fitted, 5 not needed.",
            per_key=True,
        ),
        Action("export", ("x",), "x", "write", "Write the list for a spreadsheet (CSV)."),
        _BACK,
    ),
    "parts": (
        Action(
            "state",
            DIGITS[:5],
            "1-5",
            "state",
            "1 wanted, 2 ordered, 3 arrived, 4 fitted, 5 not needed.",
            per_key=True,
        ),
        Action("add", ("a",), "a", "add", "Add a part."),
        Action("price", ("p",), "p", "price", "Say what one costs, in your own money."),
        Action("count", ("c",), "c", "how many", "Say how many are needed."),
        Action("note", ("n",), "n", "note", "Maker's number, size, where it was ordered."),
        Action("undo", ("u",), "u", "undo", "Take the last event back; it stays in the trail."),
        Action("redo", ("r",), "r", "redo", "Bring back what was taken back last."),
        _BACK,
    ),
    "workshop": (
        Action("open", ("enter",), "Enter", "work", "Work the marked sum."),
        Action("search", ("slash",), "/", "search", "Find sums by words in them."),
        *_MARK,
        Action("back", ("escape",), "Esc", "back", "Leave the search, or go back."),
        *_SCROLL,
    ),
    "form": (
        Action("next", ("enter",), "Enter", "next", "To the next line; a list is worked."),
        Action("field(-1)", ("up",), "Up", "line", "To the line above.", bar=False),
        Action("field(1)", ("down",), "Down", "line", "To the line below.", bar=False),
        Action("example", ("f3",), "F3", "example", "Fill in the worked example."),
        Action(
            "note",
            ("f4",),
            "F4",
            "into case",
            "Put the result into the case: a note, and what you mark of what it says of the deck.",
        ),
        Action("write", ("f5",), "F5", "write", "Write what came of a list to a new CSV file."),
        _BACK,
        *_SCROLL,
    ),
    "trail": (
        Action(
            "strike", ("s", "enter"), "s", "strike", "Take the marked event back, or bring it in."
        ),
        Action("export", ("x",), "x", "export", "Write the trail to a file."),
        _BACK,
    ),
}


def bindings(place: str) -> list[BindingType]:
    """The bindings of one screen."""
    return [
        Binding(
            key,
            f"{action.name}('{key}')" if action.per_key else action.name,
            action.label,
            key_display=action.shown,
            tooltip=action.help,
            id=f"{place}.{action.name}.{key}",
        )
        for action in ACTIONS[place]
        for key in action.keys
    ]
