"""The Python interface: the words of a notebook for what jobs do, and no work of its own."""
