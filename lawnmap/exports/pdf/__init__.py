"""The PDF twin of every page: the page's own HTML, laid out on paper without a browser."""
