//! Where the server may listen, and how it stops.

use std::io;
use std::net::SocketAddr;

use thiserror::Error;
use tokio::net::TcpListener;
use tokio::signal;

use crate::app::AppState;
use crate::pages::router;

/// An address that others than this machine could reach.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error(
    "`{0}` could be reached from other machines, and there is no sign-in with a password yet\n  listen on 127.0.0.1 or [::1]"
)]
pub struct NotLoopback(pub SocketAddr);

/// Refuses every address but those of this machine itself.
pub fn loopback_only(address: SocketAddr) -> Result<SocketAddr, NotLoopback> {
    if address.ip().to_canonical().is_loopback() { Ok(address) } else { Err(NotLoopback(address)) }
}

/// Serves every page until the process is told to stop; requests that have begun are finished
/// first.
pub async fn serve(listener: TcpListener, app: AppState) -> io::Result<()> {
    axum::serve(listener, router(app)).with_graceful_shutdown(told_to_stop()).await
}

/// Ready when the process is asked to end, by the keyboard or by the system.
async fn told_to_stop() {
    let keyboard = signal::ctrl_c();
    #[cfg(unix)]
    {
        use signal::unix::{SignalKind, signal};
        if let Ok(mut system) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = keyboard => {}
                _ = system.recv() => {}
            }
            return;
        }
    }
    // Where no signal can be heard at all the server runs until it is ended from outside.
    if keyboard.await.is_err() {
        std::future::pending::<()>().await;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_addresses_of_this_machine_are_allowed() {
        for (written, allowed) in [
            ("127.0.0.1:80", true),
            ("127.8.9.1:80", true),
            ("[::1]:80", true),
            ("[::ffff:127.0.0.1]:80", true),
            ("0.0.0.0:80", false),
            ("[::]:80", false),
            ("192.168.0.4:80", false),
            ("[::ffff:10.0.0.1]:80", false),
        ] {
            assert_eq!(loopback_only(written.parse().unwrap()).is_ok(), allowed, "{written}");
        }
    }
}
