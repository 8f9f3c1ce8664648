"""Knowledge files to model, with file and line of everything; all problems told in one run."""
