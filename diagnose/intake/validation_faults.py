"""What pydantic objects to, in the words of a keeper, with the line it stands on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from diagnose.intake.problems import CaseError, Unreadable
from diagnose.intake.yaml_document import Path, spell_path

#: Fields the program fills in for itself.
INNER_FIELDS = frozenset({"as_written", "logged", "word"})
#: Keys of a file that are read before the model sees them, by the model they belong to.
SPREAD_KEYS = {"Container": ("change",), "Reading": ("unit", "as")}
#: A key without a value, as the rest of an unquoted text becomes after its comma.
AFTER_A_COMMA = (
    "Is it the rest of a text before it? Between { and } a comma ends the text: put the whole "
    'text in quotes, as note: "hair spray, in the kitchen".'
)
_SPREAD_NAMES = {"change_share": ("change", "share"), "change_every": ("change", "every")}


def written_names(model: type[BaseModel]) -> tuple[str, ...]:
    """The keys a file may use for this part of a case."""
    own = (
        str(field.validation_alias or name)
        for name, field in model.model_fields.items()
        if name not in INNER_FIELDS
    )
    return (*(n for n in own if n not in _SPREAD_NAMES), *SPREAD_KEYS.get(model.__name__, ()))


def faults_of(
    error: ValidationError,
    model: type[BaseModel],
    file: str,
    line_of: Callable[[Path], int | None],
    before: Path = (),
) -> tuple[CaseError, ...]:
    """Each objection as a CaseError. `before` is the path in the file of what was validated."""
    found = []
    for item in error.errors(include_url=False):
        problem, hint = _in_words(item, _where(item), model)
        path = before + place_of(item)
        found.append(CaseError(file, line_of(path), spell_path(path), problem, hint))
    return tuple(found)


def place_of(item: Any) -> Path:
    """The path in the file of what one objection is about."""
    cause = item.get("ctx", {}).get("error")
    part = cause.part if isinstance(cause, Unreadable) else None
    return _as_in_file(_where(item)) + ((part,) if part is not None else ())


def _where(item: Any) -> Path:
    return tuple(part for part in item["loc"] if part != "function-plain")


def unknown_key(name: str, known: tuple[str, ...]) -> tuple[str, str]:
    """The problem and the hint for a key that is not a field."""
    from difflib import get_close_matches  # slow to import, and most files need no hint

    near = get_close_matches(name.lower().replace(" ", "_"), known, n=1, cutoff=0.6)
    if not near:
        near = [key for key in known if name.lower().startswith(f"{key}_")][:1]
    if near:
        return f"`{name}` is no field here.", f"Did you mean `{near[0]}`?"
    return f"`{name}` is no field here.", f"The fields here are: {', '.join(known)}."


def _in_words(item: Any, where: Path, model: type[BaseModel]) -> tuple[str, str]:
    kind, context = item["type"], item.get("ctx", {})
    cause = context.get("error")
    if isinstance(cause, Unreadable):
        return cause.problem, cause.hint
    if kind == "extra_forbidden":
        problem, hint = unknown_key(str(where[-1]), written_names(_model_at(model, where[:-1])))
        return problem, AFTER_A_COMMA if item["input"] is None else hint
    if kind == "missing":
        return f"`{where[-1]}` is missing.", f"Add a line `{where[-1]}: ...`."
    if kind == "literal_error":
        choices = tuple(str(word) for word in _choices(model, where))
        return _bad_choice(item["input"], choices, context.get("expected", ""))
    shapes = {
        "model_type": ("this must be a block of `key: value` lines.", "Indent them below the key."),
        "model_attributes_type": (
            "this must be a block of `key: value` lines.",
            "Indent them below the key.",
        ),
        "dict_type": ("this must be a block of `key: value` lines.", "Indent them below the key."),
        "tuple_type": ("this must be a list.", "Begin each entry on its own line with a hyphen."),
    }
    if kind in shapes:
        problem, hint = shapes[kind]
        return problem, hint
    return f"`{item['input']}` does not fit here.", f"{item['msg']}."


def _bad_choice(written: object, choices: tuple[str, ...], expected: str) -> tuple[str, str]:
    said = str(written).lower().replace(" ", "_").replace("-", "_")
    from difflib import get_close_matches  # slow to import, and most files need no hint

    near = get_close_matches(said, choices, n=1, cutoff=0.6)
    known = f"Choose one of: {', '.join(choices) if choices else expected}."
    hint = f"Did you mean `{near[0]}`? {known}" if near else known
    return f"`{written}` is not one of the choices.", hint


def _as_in_file(where: Path) -> Path:
    spread: list[str | int] = []
    for part in where:
        spread.extend(_SPREAD_NAMES.get(str(part), (part,)))
    return tuple(spread)


def _field_at(model: type[BaseModel], name: str | int) -> Any:
    for own, field in model.model_fields.items():
        if name in (own, field.validation_alias):
            return field.annotation
    return None


def _model_at(model: type[BaseModel], where: Path) -> type[BaseModel]:
    for part in where:
        if isinstance(part, int):
            continue
        inner = _model_in(_field_at(model, part))
        if inner is None:
            return model
        model = inner
    return model


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        found = _model_in(inner)
        if found is not None:
            return found
    return None


def _choices(model: type[BaseModel], where: Path) -> tuple[Any, ...]:
    annotation = _field_at(_model_at(model, where[:-1]), where[-1])
    words: list[Any] = []
    waiting = [annotation]
    while waiting:
        inner = waiting.pop(0)
        if isinstance(inner, str):
            words.append(inner)
        else:
            waiting.extend(get_args(inner))
    return tuple(words)
