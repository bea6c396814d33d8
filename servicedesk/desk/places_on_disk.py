"""Where the company's store and papers lie when nobody says otherwise."""

import os
from pathlib import Path

import platformdirs

from servicedesk.values.trouble import Trouble
from servicedesk.words import say

STORE_VARIABLE = "SERVICEDESK_STORE"


def data_folder() -> Path:
    """The platform's data folder for this program. Raises Trouble if it cannot be made."""
    try:
        folder = Path(platformdirs.user_data_dir("servicedesk", appauthor=False))
    except RuntimeError as error:  # no HOME, and nobody of that number is known
        raise Trouble(
            say("This person has no home folder, so there is no data folder."),
            do=say("Name a store somewhere else: --store FILE"),
            exit_code=3,
        ) from error
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / ".may-write"
        probe.touch()
        probe.unlink()
    except OSError as error:
        raise Trouble(
            say("The data folder {folder} cannot be written.", folder=folder),
            do=say("Name a store somewhere else: --store FILE"),
            exit_code=3,
        ) from error
    return folder


def default_store() -> str:
    """The store named by SERVICEDESK_STORE, else the one in the data folder."""
    return os.environ.get(STORE_VARIABLE) or str(data_folder() / "company.store")


def papers_folder(store_place: str) -> Path:
    """Where papers go if no folder is named: beside a store file, else in the data folder.

    Raises Trouble if the store is on a server and the data folder cannot be written.
    """
    if "://" not in store_place:
        return Path(store_place).absolute().parent / "papers"
    try:
        return data_folder() / "papers"
    except Trouble as trouble:
        raise Trouble(
            trouble.what, do=say("Name a folder for the papers: --out FOLDER")
        ) from trouble
