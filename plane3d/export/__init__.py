"""Things to take home: pictures, films, numbers and solids of a scenario, written to files."""
