"""Names of the kinds of papers, as the register keeps them."""

INSPECTION_REPORT = "inspection report"
PUMP_OUT_REPORT = "pump-out report"
VISIT_REPORT = "visit report"
COULD_NOT_INSPECT = "could not inspect"
SECOND_ATTEMPT = "second attempt letter"
CONTRACT_COPY = "contract copy"
NOTICE = "notice"
