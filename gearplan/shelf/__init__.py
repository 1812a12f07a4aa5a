"""The bike files of chosen folders as a list: found by any word, sorted. The files are the truth, the list an index."""
