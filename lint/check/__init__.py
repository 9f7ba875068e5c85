"""Checking: rules over the resolved rig, their findings, waivers and the verdict."""
