"""The way in: a new rig file from questions, from a spreadsheet, or from last week."""
