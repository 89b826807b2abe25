"""Paper and pages from results: tables for spreadsheets, the account page."""

from __future__ import annotations

from haulbook.publish.account_page import render_account
from haulbook.publish.account_parts import (
    AccountPage,
    BalanceLine,
    EstimateLine,
    FindingLine,
    HaulLine,
    LimitLine,
    OpenLine,
    Provenance,
    ReportLine,
)
from haulbook.publish.estimates_sheet import estimates_sheet
from haulbook.publish.sheet import Sheet, csv_bytes, xlsx_bytes

__all__ = [
    "AccountPage",
    "BalanceLine",
    "EstimateLine",
    "FindingLine",
    "HaulLine",
    "LimitLine",
    "OpenLine",
    "Provenance",
    "ReportLine",
    "Sheet",
    "csv_bytes",
    "estimates_sheet",
    "render_account",
    "xlsx_bytes",
]
