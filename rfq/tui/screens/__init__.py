"""One screen a file, one question a screen."""
