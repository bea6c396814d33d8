"""Once a call is written: did its trouble come back? What was raised is told to every place."""

from typing import Any

from PySide6.QtCore import QObject, Slot

from servicedesk.desk.alerts import look_for_alerts
from servicedesk.desk.office import Desk
from servicedesk.window.shell import Shell


class LookForAlerts(QObject):
    """Looks on the worker; where nothing is new nothing is told and nothing is read anew."""

    def __init__(self, shell: Shell, parent: QObject) -> None:
        super().__init__(parent)
        self._shell = shell

    def look(self, desk: Desk, site_id: int | None) -> None:
        """Look at one site; a call of no site yet belongs to no trouble."""
        if site_id is not None:
            job = self._shell.ask(look_for_alerts, desk, site_ids=[site_id])
            job.done.connect(self._looked)

    @Slot(object)
    def _looked(self, touched: Any) -> None:
        if touched.rows:
            self._shell.bus.changed.emit(touched)
