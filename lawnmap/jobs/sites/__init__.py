"""The job ``sites``: many sites at once, from a folder of them or from a table."""
