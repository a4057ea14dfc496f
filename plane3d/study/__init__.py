"""The studies as a coach asks for them and reads them: scenarios in coach units in, JSON blocks and words out.

One module for each study, with the same three verbs: ``run`` asks the study in `plane3d.studies` (SI), ``block`` is
its answer as JSON in coach units, ``text`` is its answer to read. The page uses the same functions as the command line.
"""
