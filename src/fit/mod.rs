//! The optimisers: what the tool decides about notes, exactly and with its reasons.
