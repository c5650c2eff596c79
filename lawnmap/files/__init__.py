"""Bytes in and out, standard library only: admission, grammars, the child, the commit."""
