//! Tasks shared among the machine's cores.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Runs all `tasks`, as many at once as there are cores, and returns their results in the order of the tasks.
///
/// A task must depend on nothing that another one of the same call does, so that the results are the same whatever
/// the number of cores and whichever task ends first.
///
/// # Panics
/// If a task panics.
pub fn in_parallel<T: Sync, R: Send>(tasks: &[T], run: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let n_workers = thread::available_parallelism()
        .map_or(1, std::num::NonZero::get)
        .min(tasks.len());
    if n_workers <= 1 {
        return tasks.iter().map(run).collect();
    }
    let next = AtomicUsize::new(0);
    let slots: Vec<Mutex<Option<R>>> = tasks.iter().map(|_| Mutex::new(None)).collect();
    thread::scope(|scope| {
        for _ in 0..n_workers {
            scope.spawn(|| {
                while let Some(idx) =
                    Some(next.fetch_add(1, Ordering::Relaxed)).filter(|&idx| idx < tasks.len())
                {
                    let result = run(&tasks[idx]);
                    *slots[idx].lock().expect("a slot is written once") = Some(result);
                }
            });
        }
    });
    slots
        .into_iter()
        .map(|slot| {
            slot.into_inner()
                .expect("a slot is written once")
                .expect("each task was taken")
        })
        .collect()
}

/// Runs two tasks at once, where there are two cores, and returns both results; neither may depend on what the other one does.
///
/// On one core the first comes first: what stops the search in time leaves nothing undone that matters most.
///
/// # Panics
/// If a task panics.
pub fn both<A, B: Send>(here: impl FnOnce() -> A, beside: impl FnOnce() -> B + Send) -> (A, B) {
    if thread::available_parallelism().map_or(1, std::num::NonZero::get) == 1 {
        return (here(), beside());
    }
    thread::scope(|scope| {
        let beside = scope.spawn(beside);
        let here = here();
        let beside = beside
            .join()
            .unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        (here, beside)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_results_come_back() {
        let text = String::from("here");
        assert_eq!(
            both(|| text.len(), || text.to_uppercase()),
            (4, "HERE".to_owned())
        );
    }

    #[test]
    fn results_stand_in_the_order_of_the_tasks() {
        let tasks: Vec<u64> = (0..200).collect();
        let squares = in_parallel(&tasks, |task| task * task);
        assert_eq!(
            squares,
            tasks.iter().map(|task| task * task).collect::<Vec<_>>()
        );
        assert!(in_parallel(&Vec::<u64>::new(), |task| *task).is_empty());
    }
}
