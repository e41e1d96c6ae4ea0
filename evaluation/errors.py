"""Every exception Mouillette raises on purpose, drawn as a tree.

    MouilletteError
    ├── ArgumentError (ValueError)       a value outside what is accepted; the message says what would be
    │   └── AnswersError                 a table of answers with a row that cannot be read (line and column named)
    ├── KindError (TypeError)            a value of the wrong kind altogether
    ├── StateError                       the session is not in a state that allows this
    │   ├── AlreadyAnswered              the question has its final answer; it stays as it is
    │   └── StillBlind                   results or key asked for before the session is closed and opened
    ├── NotFound                         no such brief, trial, panelist, session or ballot
    ├── Refused                          this visitor may not do this (wrong passphrase, link no longer valid)
    └── StoreError                       the data cannot be opened: newer schema, locked, unreachable
        └── Damaged                      the notebook is ours, and is not as the program wrote it

A message is one sentence a user can act on: it may be shown as it stands.
"""


class MouilletteError(Exception):
    """Root of the tree."""


class ArgumentError(MouilletteError, ValueError):
    """A value outside what is accepted."""


class AnswersError(ArgumentError):
    """A table of answers with a row that cannot be read."""


class KindError(MouilletteError, TypeError):
    """A value of the wrong kind."""


class StateError(MouilletteError):
    """The session is not in a state that allows this."""


class AlreadyAnswered(StateError):  # noqa: N818 - an event, not a failure
    """The question has its final answer already."""


class StillBlind(StateError):  # noqa: N818 - a state, not a failure
    """Results or key were asked for before the session was closed and opened."""


class NotFound(MouilletteError):  # noqa: N818 - reads as the sentence it is
    """No such thing in the store."""


class Refused(MouilletteError):  # noqa: N818 - reads as the sentence it is
    """This visitor may not do this."""


class StoreError(MouilletteError):
    """The data cannot be opened."""


class Damaged(StoreError):  # noqa: N818 - a state of the notebook
    """The notebook is ours, and is not as the program wrote it; ``told`` once its newest copy is named as well."""

    def __init__(self, sentence: str, *, told: bool = False) -> None:
        super().__init__(sentence)
        self.told = told


FOR_PANELISTS = "The notebook is damaged: tell the person who runs the session."


def told_to_panelists(error: MouilletteError) -> str:
    """The message for whoever answers: of damage they need no path and no command."""
    return FOR_PANELISTS if isinstance(error, Damaged) else str(error)
