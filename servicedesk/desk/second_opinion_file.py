"""The second opinion written as one page beside the store, for the window."""

from collections.abc import Iterable

from servicedesk.desk.office import Desk


def write_second_opinion(
    desk: Desk,
    *,
    site_id: int | None = None,
    system_id: int | None = None,
    symptoms: Iterable[str] = (),
) -> tuple[str, str]:
    """Write the page of a site's trouble: the folder and the file's name.

    Without `symptoms` those of the last call speak. Raises Trouble where nobody ever called, where
    several systems stand there and none is named, and if the folder cannot be written.
    """
    # papers are only needed when somebody prints: reportlab stays out of the start
    from servicedesk.desk.morning import write_papers
    from servicedesk.desk.places_on_disk import papers_folder
    from servicedesk.desk.second_opinion import second_opinion
    from servicedesk.desk.second_opinion_paper import opinion_paper
    from servicedesk.desk.sheets import Paper, file_name

    told = second_opinion(desk, site_id=site_id, system_id=system_id, symptoms=symptoms)
    name = f"second-opinion-{desk.today}-{file_name(told.address)}.pdf"
    folder = papers_folder(desk.store.place)
    (written,) = write_papers([Paper(name, opinion_paper(desk, told))], folder)
    return str(folder), written.name
