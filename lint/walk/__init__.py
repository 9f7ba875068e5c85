"""Walking: a checklist template and a resolved rig make items; answers, one at a time, lead to a signed go or no-go."""
