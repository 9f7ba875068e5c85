"""The facts of a resolved rig as plain rows: what a house rule can ask about, each fact with its meaning."""
