"""Parts of pages that several papers share."""
