"""Rehearse a whole job: a simulated site and technician, and the real companion.

Start at ``run.rehearse``. The technician's lines reach the companion only through the
listener, be it the keyboard's or the recogniser's on fan noise; nothing of the scenario
goes past it.
"""
