//! Outlines to placements on sheets.
