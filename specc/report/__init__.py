"""Prints a Result for people (text) and for programs (records). Neither changes what was found."""
