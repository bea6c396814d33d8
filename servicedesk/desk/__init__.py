"""The verbs of the office: read records, let the calculations answer, write one change."""
