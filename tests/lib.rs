//! End-to-end checks in `tests`, checks by outside programs in `outside`.
