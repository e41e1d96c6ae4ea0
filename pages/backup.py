"""Backup: everything in one file, whether the notebook stands as it was written, and how a backup is brought back."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, house
from parts.house import House
from parts.keeping import backup_routes, last_copy

from evaluation.keeping import receipts_told, told
from evaluation.store.backup import checking, lost_ends, restoring

COMMAND: Final = "python -m evaluation restore FILE.zip --data NEW_FILE"
# A form of our own: the framework's way to take files is shut, as it is open to everybody who has a page open.
FORM: Final = f"""<style>
.mo-bring input, .mo-bring button {{font: inherit; color: inherit; min-height: 2.75rem; max-width: 100%;}}
.mo-bring button {{padding: 0 .9rem; border: 1px solid currentColor; border-radius: .5rem; background: transparent;
  cursor: pointer; display: block;}}
</style><form class="mo-bring" method="post" action="{backup_routes.BRING_BACK}" enctype="multipart/form-data">
<p><label>Backup (ZIP)<br><input type="file" name="backup" accept=".zip" required></label></p>
<button>Bring it back</button></form>"""


def show_backup_page(here: House) -> None:
    """The whole page; the files themselves come from routes, see ``keeping.backup_routes``."""
    frame.page("Backup", "Everything in this notebook in one file, and whether it stands as it was written.")
    last_copy.tell_alarms(here)
    last_copy.tell_last_copy(here)
    _go_on(here)
    _download()
    _check(here)
    _bring_back(here)


def _go_on(here: House) -> None:
    """Where something is missing: what can be done, and a way to go on without it."""
    anchor = here.notebook.anchor
    with st.container():
        if anchor is None or not anchor.missing:
            return
        st.subheader("What is missing at the end", anchor=False)
        st.markdown(
            "Answers that were acknowledged are in the notebook no more: the file was put back to an earlier state, or "
            "what lies beside it was cut or taken away. Stop the app and look for the right files first; a backup "
            "made before the loss has them too."
        )
        if st.button("I have read this; go on without it"):
            with frame.one_sentence():
                anchor.settle()
                st.rerun()


def _download() -> None:
    st.subheader("Keep a backup", anchor=False)
    st.markdown(
        "A backup is all of one instant; people can go on answering. It can be read without this program, and is best "
        "kept on another disk than the notebook."
    )
    st.html(f'<p><a href="{backup_routes.PATH}" download target="_self">Download a backup of now (ZIP)</a></p>')
    st.caption(
        "It holds names, notes and answers, and the keys of sessions that are not opened in a part of their own: leave "
        "that shut, and keep the file away from whoever is to smell. The secret that links are made with is not in it. "
        "Somebody you erase stays in backups made before."
    )


def _check(here: House) -> None:
    st.subheader("Check this notebook", anchor=False)
    st.markdown("Reads the file, every log, key and decision, and says whether they stand as they were written.")
    if st.button("Check now"):
        with frame.one_sentence():
            _tell_checked(here, checking.check(here.notebook))
    given = st.text_input(
        "Receipts from phones", max_chars=2000, help="One or several, with blanks between: is each answer still here?"
    )
    if given.strip():
        with frame.one_sentence():
            _receipts(here, given)


def _receipts(here: House, given: str) -> None:
    for one in receipts_told.look_up(here.notebook, receipts_told.several(given)):
        (st.success if one.held else st.error)(frame.plain(one.sentence))


def _tell_checked(here: House, found: checking.Checked) -> None:
    for sentence in found.damage:
        frame.refuse(sentence)
    if found.damage:
        st.markdown("Leave it as it is, and bring back a copy or a backup that is sound into a new place.")
        if here.notebook.where is not None:
            last_copy.tell_alarm(f"{lost_ends.how_to_restore(here.notebook.where, found.lost)}.")
    else:
        st.success(told.counts(found))


def _bring_back(here: House) -> None:
    st.subheader("Bring a backup back", anchor=False)
    if not restoring.is_empty(here.notebook):
        st.markdown("This notebook is not empty, and what is in it stays. A backup goes into a new file, by a command:")
        st.code(COMMAND, language=None, wrap_lines=True)
        st.markdown("Then start the app with `--data NEW_FILE`. What cannot be brought back whole is refused whole.")
        return
    st.markdown("This notebook is empty: a backup can be brought back into it, whole or not at all.")
    st.html(FORM)
    st.caption(f"Up to {backup_routes.LARGEST >> 20} MB here. Larger ones come back by `{COMMAND}`.")


show_backup_page(house.current())
