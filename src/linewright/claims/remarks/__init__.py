"""Remarks: words that likely claim something which no kind reads."""
