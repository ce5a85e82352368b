//! Memory that ends the program with a sentence and code 2 where the system gives no more, instead of an abort.

#![expect(unsafe_code, reason = "whoever gives out memory promises what the compiler can't check")]

use std::alloc::{GlobalAlloc, Layout, System};
use std::io::Write;

#[global_allocator]
static MEMORY: Memory = Memory;

struct Memory;

// SAFETY: every call is the system's own; a null pointer, which it may give, is never passed on.
unsafe impl GlobalAlloc for Memory {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        // SAFETY: the caller's promises are the system's.
        had(unsafe { System.alloc(layout) })
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        // SAFETY: as above.
        had(unsafe { System.alloc_zeroed(layout) })
    }

    unsafe fn realloc(&self, pointer: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        // SAFETY: as above.
        had(unsafe { System.realloc(pointer, layout, size) })
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        // SAFETY: as above.
        unsafe { System.dealloc(pointer, layout) }
    }
}

/// The memory, if there is any. What was begun is taken away by the next run, since nothing more can be done in this one.
fn had(pointer: *mut u8) -> *mut u8 {
    if pointer.is_null() {
        let text = b"This computer has no memory left for that. No file is half-written. Close other programs, or ask for less at once: a section, or one part.\n";
        // Without the lock and the buffer of standard error's usual writer; if it can't be written, nobody is left to hear it.
        let _ = std::io::stderr().write_all(text);
        std::process::exit(2);
    }
    pointer
}
