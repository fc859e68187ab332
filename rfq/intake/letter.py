"""PDF letters (being written side by side; do not start this file)."""
