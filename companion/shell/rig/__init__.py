"""A simulated unit, cylinder and pair of hands, for rehearsals and tests.

It is a lumped model for rehearsing a job and for ranking ways of coaching it. It has
not been checked on a real machine, and nothing safety-related may be concluded from it.

Start at ``rig.Rig`` (the job site) with a ``spec.RigSpec``; ``hand.Hand`` turns the
valve, ``readings.Reader`` reads aloud, ``chart.chart`` says what the maker's chart
would, ``fleet.random_spec`` draws sites for Monte Carlo runs, and ``faults`` lists what
can go wrong. ``build_tables`` makes the property tables and is the only user of
CoolProp here. The rest is the plant: ``traits`` and ``sizing`` make a ``design``,
``circuit`` runs it, ``standing`` holds it while it is off, ``plant`` switches.
"""
