//! An allocator that counts, so that no reader may hold more than the limit, however briefly. The
//! fuzzer's own limit only looks once a second, and not at all at memory that is never touched.

use std::alloc::{GlobalAlloc, Layout, System};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

/// Most bytes at a time.
const MOST: usize = 512 << 20;

struct Counting;

static HELD: AtomicUsize = AtomicUsize::new(0);

#[global_allocator]
static COUNTING: Counting = Counting;

fn take(bytes: usize) {
    if HELD.fetch_add(bytes, Relaxed) + bytes > MOST {
        // A panic would allocate; this ends the run and keeps the input.
        HELD.store(0, Relaxed);
        panic!("more than {MOST} bytes are held after another {bytes}");
    }
}

// SAFETY: every call is handed on to the system's allocator as it came.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        take(layout.size());
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, place: *mut u8, layout: Layout) {
        HELD.fetch_sub(layout.size(), Relaxed);
        unsafe { System.dealloc(place, layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        take(layout.size());
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn realloc(&self, place: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        take(size);
        HELD.fetch_sub(layout.size(), Relaxed);
        unsafe { System.realloc(place, layout, size) }
    }
}
