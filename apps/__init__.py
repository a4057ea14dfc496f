"""The page: what a browser shows of `plane3d`, and how it is changed there."""
