"""The bulk door: tables of the zones of very many sites, read and written in batches."""
