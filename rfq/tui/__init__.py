"""The app: screens, keys and words; no rule of the trade."""
