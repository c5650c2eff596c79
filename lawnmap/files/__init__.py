"""Bytes in and out, standard library only: admission, text grammars, the child process, the commit."""
