//! End-to-end and outside checks of the whole workspace; see the files beside `src`.
