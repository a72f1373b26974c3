//! The marks file beside the window: one thread reads and writes it, in the order in which that was asked for, so that
//! nothing is written behind what was just read. May not enter: which marks are placed.

use super::fitting::{News, Teller};
use crate::judge::keeping::{Kept, Unkept, put_aside};
use crate::judge::marks::Given;
use crate::mesh::model::Model;
use crate::rehearsal::bench::Room;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;
use std::time::SystemTime;

/// What is done to the file.
pub(super) enum Order {
    /// These are written into it.
    Keep(Given),
    /// It is read as it is now; until that is adopted, nothing is written over it.
    ReadAnew,
    /// What was read is known: marks may be written over it.
    Adopt(Kept),
    /// Whether it is as it is known is told.
    Look,
    /// What lies there gets another name, and a new one is begun.
    PutAside,
}

/// The thread.
pub(super) struct Keeper {
    orders: Option<Sender<Order>>,
    thread: Option<JoinHandle<()>>,
}

/// What it works on.
struct Desk {
    path: PathBuf,
    room: Arc<Room>,
    model: Arc<Model>,
    /// The file as it was adopted or written last, or why nothing may be written over it.
    kept: Result<Kept, Unkept>,
    tell: Teller,
}

impl Keeper {
    /// Begins with a file as it was read, or could not be.
    pub(super) fn begin(
        path: PathBuf,
        kept: Result<Kept, String>,
        (room, model): (Arc<Room>, Arc<Model>),
        tell: Teller,
    ) -> Keeper {
        let (sender, orders) = channel();
        let mut desk = Desk {
            path,
            room,
            model,
            kept: kept.map_err(Unkept::Unreadable),
            tell,
        };
        let thread = std::thread::spawn(move || desk.work(&orders));
        Keeper {
            orders: Some(sender),
            thread: Some(thread),
        }
    }

    /// Asks for something; that it is done is told.
    pub(super) fn ask(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // The thread ends only with this one.
            let _ = orders.send(order);
        }
    }
}

impl Drop for Keeper {
    /// Waits until all that was asked for is done: not for the thread of a window.
    fn drop(&mut self) {
        self.orders = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

impl Desk {
    fn work(&mut self, orders: &Receiver<Order>) {
        while let Ok(mut order) = orders.recv() {
            for next in orders.try_iter() {
                // Of marks to be written one after the other the newest count.
                if !matches!((&order, &next), (Order::Keep(_), Order::Keep(_))) {
                    self.carry_out(order);
                }
                order = next;
            }
            self.carry_out(order);
        }
    }

    fn carry_out(&mut self, order: Order) {
        let news = match order {
            Order::Keep(given) => {
                let saved = self.save(&given).map(|()| SystemTime::now().into());
                News::Kept(Box::new(given), saved)
            }
            Order::ReadAnew => {
                let zone = &self.room.scene.place.zone;
                let read = Kept::open(&self.path, &self.model, zone);
                match (&read, &self.kept) {
                    (Err(why), _) => self.kept = Err(Unkept::Unreadable(why.clone())),
                    (Ok(_), Err(_)) => self.kept = Err(Unkept::Changed(self.path.clone())),
                    (Ok(_), Ok(_)) => {}
                }
                News::Read(read.map(Box::new))
            }
            Order::Adopt(kept) => {
                self.kept = Ok(kept);
                return;
            }
            Order::Look => match &self.kept {
                Ok(kept) => News::Looked(kept.is_as_known()),
                // That it stands in the way is told already.
                Err(_) => return,
            },
            Order::PutAside => {
                let aside = put_aside(&self.path);
                if aside.is_ok() {
                    self.kept = Ok(Kept::none(&self.path));
                }
                News::PutAside(aside.map_err(|error| {
                    format!("{} cannot be put aside ({error})", self.path.display())
                }))
            }
        };
        self.tell.tell(news);
    }

    fn save(&mut self, given: &Given) -> Result<(), Unkept> {
        let kept = self.kept.as_ref().map_err(Unkept::clone)?;
        let zone = &self.room.scene.place.zone;
        self.kept = Ok(kept.save(given, &self.model, zone)?);
        Ok(())
    }
}
