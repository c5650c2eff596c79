"""Pictures for the pages of the documentation, made by script: one file a subject."""
